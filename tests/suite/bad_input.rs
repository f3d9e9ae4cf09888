//! Every refusal of a case file, word for word.

use clavibeam::case;
use std::path::Path;

#[test]
fn print_all() {
    let mut paths: Vec<_> = std::fs::read_dir("tests/cases")
        .unwrap()
        .map(|e| e.unwrap().path())
        .collect();
    paths.sort();
    for path in paths {
        match case::read(Path::new(&path)) {
            Ok(_) => println!("{} ACCEPTED", path.display()),
            Err(e) => println!("{e}\n"),
        }
    }
    for name in clavibeam::anatomy::PRESET_NAMES {
        let text = case::template(name).unwrap();
        match case::parse(&text, name) {
            Ok(c) => {
                for d in c.defaults_used {
                    println!("{d:?}")
                }
            }
            Err(e) => println!("{e}"),
        }
    }
    println!(
        "{}",
        clavibeam::input::schema_json::<case::tables::CaseTable>("x")
    );
}
