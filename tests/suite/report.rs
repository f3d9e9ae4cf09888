//! Reports of an invented comparison.
use crate::sample_assessment::sample;
use clavibeam::report;

#[test]
fn look() {
    let a = sample();
    let dir = std::path::Path::new("/tmp/report-look");
    report::write_plots(dir, &a).unwrap();
    std::fs::write(
        dir.join("t.txt"),
        report::text(
            &a,
            report::Options {
                colour: false,
                verbose: true,
            },
        ),
    )
    .unwrap();
    std::fs::write(dir.join("d.txt"), report::defaults(&a)).unwrap();
    std::fs::write(dir.join("page.html"), report::html(&a)).unwrap();
}
