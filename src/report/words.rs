//! Words in lines and columns.

/// Characters.
pub(super) fn width(words: &str) -> usize {
    words.chars().count()
}

/// Filled up with blanks.
pub(super) fn padded(words: &str, to: usize) -> String {
    format!("{words}{}", " ".repeat(to.saturating_sub(width(words))))
}

/// Breaks words into lines; a single word longer than a line is broken inside.
pub(super) fn wrapped(words: &str, room: usize) -> Vec<String> {
    let mut lines = vec![String::new()];
    for word in words.split_whitespace() {
        let mut word: Vec<char> = word.chars().collect();
        let line = lines.last().expect("there is always a line");
        let needed = word.len() + usize::from(!line.is_empty());
        if !line.is_empty() && width(line) + needed > room {
            lines.push(String::new());
        }
        while word.len() > room {
            let rest = word.split_off(room);
            lines
                .last_mut()
                .expect("there is always a line")
                .extend(word);
            lines.push(String::new());
            word = rest;
        }
        let line = lines.last_mut().expect("there is always a line");
        if !line.is_empty() {
            line.push(' ');
        }
        line.extend(word);
    }
    lines
}

/// The first line of a name that is too long, marked as cut.
pub(super) fn shortened(name: &str, room: usize) -> String {
    let lines = wrapped(name, room - 1);
    match lines.as_slice() {
        [only] => only.clone(),
        [first, ..] => format!("{first}…"),
        [] => String::new(),
    }
}
