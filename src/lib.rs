//! Compares ways of fixing a broken collarbone with a 3D beam finite-element model.
//!
//! It informs a decision; it never makes one. It is not a medical device.
//!
//! # Flow
//!
//! Data flows one way through a few plain values:
//!
//! ```text
//! case file  -> Case -> Construct -> Frame -> Solution -> Assessment -> text, HTML, plots, JSON
//!               case    construct    frame                assess        report
//!
//! frame file -> FrameFile ---------> Frame -> Solution -> Results ----> text, JSON, VTK
//!               frame_file
//! ```
//!
//! [`case`] reads what a surgeon writes, [`construct`] makes bone, fracture and device into a
//! [`frame`], which knows no anatomy, and [`assess`] turns its solution into stiffness, margins,
//! motion and fit. [`handcalc`] works out beside it what can be done by hand.
//!
//! # Example
//!
//! From the text of a case to two numbers that can be checked by hand: how far the nail fills its
//! canal, and its margin against bending for good, proof stress over largest stress.
//!
//! ```
//! use clavibeam::{assess::assess, case, construct::Mechanics};
//!
//! let text = r#"
//! title = "A nail of 2.5 mm in a canal of 5 mm"
//! [patient]
//! preset = "adult-female"
//! [bone]
//! canal_min_diameter_mm = 5.0
//! [fracture]
//! position = 0.5
//! pattern = "transverse"
//! [[construct]]
//! name = "nail"
//! [construct.nail]
//! diameter_mm = 2.5
//! [[activity]]
//! name = "arm level"
//! arm_elevation_deg = 90
//! "#;
//! let case = case::parse(text, "nail.toml").expect("nothing wrong with it");
//! let assessment = assess(&case, Mechanics::Contact).expect("it can be solved");
//! let nail = &assessment.constructs[0];
//!
//! let fill = nail.fit.canal_fill.expect("a nail lies in the canal");
//! assert!((fill - 2.5 / 5.0).abs() < 1e-9);
//!
//! let place = &nail.critical_sections[0];
//! let under = &place.activities[0];
//! let margin = under.static_margin.expect("titanium alloy has a proof stress");
//! assert!((margin - 800.0 / under.nominal_stress_mpa).abs() < 1e-9);
//! ```
//!
//! A frame of one's own, built and solved in ten lines, is shown at [`frame`]; from a file, at
//! [`frame_file`].
//!
//! # Units, axes, signs
//!
//! Inside the library lengths are mm, forces N, stresses MPa, moments N·mm and angles rad. Every
//! key, flag, column and JSON field carries its unit in its name (`_mm`, `_n`, `_nm`, `_deg`).
//!
//! ```text
//!        z superior                     right clavicle; a left one is its mirror image
//!        |   y anterior                 origin at the sternal end
//!        |  /                           x along the straight line to the acromial end
//!        | /                            places along the bone: fractions of that line
//! sternal +=========================+ acromial
//!        end                        -> x lateral
//! ```
//!
//! Members have axes of their own, `x` along them; tension is positive, rotations and moments are
//! right-handed: see [`frame`].
//!
//! # Limits
//!
//! * Beams: good to 1–2 % away from joints; how a screw or nail is idealised where it enters bone
//!   weighs more than anything else. Local stress at notches comes from published factors.
//! * Constructs move by small displacements; a buckling factor says where that is not enough. Frame
//!   files may move by large ones, without contact.
//! * Metal and bone are elastic; yielding ends what is computed, it is not followed.
//! * Contact stiffness and friction are assumptions, shown as ranges where they decide.
//! * Compare constructs with each other; absolute values hold for the stated fixture only.
//! * Every physical number has its source beside it; many are assumptions and say so.

pub mod anatomy;
pub mod assess;
pub mod case;
pub mod check;
pub mod cli;
pub mod construct;
pub mod device;
pub mod fatigue;
pub mod frame;
pub mod frame_file;
pub mod handcalc;
pub mod healing;
pub mod input;
pub mod load;
pub mod material;
pub mod report;
pub mod sampling;
pub mod section;
pub mod sensitivity;
pub mod study;
