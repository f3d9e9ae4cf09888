use clavibeam::section::Section;
use std::f64::consts::TAU;
fn ring(a: f64, b: f64, cy: f64, n: usize) -> Vec<[f64; 2]> {
    (0..n)
        .map(|i| {
            let t = TAU * (i as f64) / n as f64;
            [cy + a * t.cos(), b * t.sin()]
        })
        .collect()
}
#[test]
fn probe() {
    let c = Section::hollow_ellipse(12., 9., 2. * 4.4440972086578, 4., 0.3);
    println!(
        "confocal {} rel {:e}",
        c.torsion_constant,
        c.torsion_constant / 938.81304050176 - 1.
    );
    let s = Section::hollow_ellipse(12., 9., 6., 4.5, 0.3);
    println!(
        "similar {} rel {:e} tau {:e}",
        s.torsion_constant,
        s.torsion_constant / 1030.5994700101 - 1.,
        s.torsion_shear / (2. / (std::f64::consts::PI * 6. * 4.5 * 4.5 * (1. - 1. / 16.))) - 1.
    );
    println!(
        "circ canal {}",
        Section::hollow_ellipse(12., 9., 5., 5., 0.3).torsion_constant
    );
    println!(
        "circ canal swapped {}",
        Section::hollow_ellipse(9., 12., 5., 5., 0.3).torsion_constant
    );
    println!(
        "tube {:e}",
        Section::hollow_ellipse(12., 12., 6., 6., 0.3).torsion_constant / 1908.5175370558 - 1.
    );
    println!("focus {:?}", Section::hollow_ellipse(10., 8., 6., 5., 0.3));
    println!("rect {}", Section::rectangle(10., 3., 0.3).torsion_constant);
    let t = std::time::Instant::now();
    let p = Section::polygon(&[[0., 0.], [10., 0.], [10., 3.], [0., 3.]], &[]).unwrap();
    println!(
        "poly rect {:e} tau {:e} {:?} {:?}",
        p.section.torsion_constant / 72.984239767801 - 1.,
        p.section.torsion_shear / Section::rectangle(10., 3., 0.3).torsion_shear - 1.,
        t.elapsed(),
        p.section
    );
    for n in [64, 96, 128, 192] {
        let t = std::time::Instant::now();
        let p = Section::polygon(
            &[[0., 0.], [10., 0.], [10., 8.], [0., 8.]],
            &[ring(2., 2., 5., n)
                .iter()
                .map(|p| [p[0], p[1] + 4.])
                .collect()],
        )
        .unwrap();
        println!(
            "hole {n} {} {:e} {:?}",
            p.section.torsion_constant,
            p.section.torsion_constant / 849.208 - 1.,
            t.elapsed()
        );
        let t = std::time::Instant::now();
        let p = Section::polygon(&ring(6., 6., 0., n), &[ring(3., 3., 1.5, n)]).unwrap();
        println!(
            "ecc {n} {} {:e} {:?}",
            p.section.torsion_constant,
            p.section.torsion_constant / 1729.886 - 1.,
            t.elapsed()
        );
        let p = Section::polygon(&ring(6., 6., 0., n), &[ring(3., 3., 0., n)]).unwrap();
        println!(
            "tube {n} {:e} {:e} kappa {}",
            p.section.torsion_constant / 1908.5175370558 - 1.,
            p.section.torsion_shear * p.section.torsion_constant - 6.,
            p.section.shear_area_y / p.section.area
        );
        let p = Section::polygon(&ring(6., 6., 0., n), &[]).unwrap();
        println!(
            "circle {n} {:e} {:e} kappa {}",
            p.section.torsion_constant / (std::f64::consts::PI * 648.) - 1.,
            p.section.torsion_shear * p.section.torsion_constant - 6.,
            p.section.shear_area_y / p.section.area
        );
    }
}
