//! The publications whose values the checks use.

use super::Check;

/// A publication, and how its values came here.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Publication {
    /// The words by which sources of checks name it.
    pub name: &'static str,
    /// What it is.
    pub what: &'static str,
    /// How its values were seen.
    pub seen: &'static str,
}

impl Publication {
    /// Whether a check uses it.
    pub fn is_used_by(&self, check: &Check) -> bool {
        check.source.contains(self.name)
    }
}

const RECOMPUTED: &str = "problem from memory, value recomputed independently";
const FORMULA: &str = "formula from memory, evaluated independently";
const QUOTED: &str = "values as quoted elsewhere, recomputed independently";
const ABSTRACT: &str = "values read in an abstract";

macro_rules! published {
    ($($name:literal $what:literal $seen:expr;)*) => {
        &[$(Publication { name: $name, what: $what, seen: $seen }),*]
    };
}

/// All of them. Words that name no publication, as "closed form" or "by hand", are not listed.
pub const PUBLISHED: &[Publication] = published! {
    "Andermahr" "Clin. Anat. 20 (2007) 48-56: canal and cortex of the clavicle" ABSTRACT;
    "ASTM F136 /" "standard of Ti-6Al-4V ELI, with ISO 5832-3" "from memory";
    "ASTM F138" "standard of 316L steel bar, with F139 and ISO 5832-1" "F139 read in a textbook, the others from memory";
    "ASTM F1264" "standard of intramedullary devices" FORMULA;
    "ASTM F1295" "standard of Ti-6Al-7Nb, with ISO 5832-11" "from memory";
    "ASTM F1537" "standard of CoCrMo" "from memory";
    "ASTM F382" "standard of metallic bone plates" FORMULA;
    "ASTM F67" "standard of unalloyed titanium" "values read in a table";
    "Bachoura" "2013: radii of the clavicle's curves" ABSTRACT;
    "Bathe & Bolourchi" "Int. J. Numer. Methods Eng. 14 (1979) 961-986: the 45 degree bend" QUOTED;
    "Berteau" "2012: modulus of children's bone" ABSTRACT;
    "Chapman et al., J. Biomech. Eng. 118 (1996)" "pp. 391-398: pull-out of screws" FORMULA;
    "Cowper" "J. Appl. Mech. 33 (1966) 335-340: shear coefficients" FORMULA;
    "de Leva" "J. Biomech. 29 (1996) 1223: masses of body segments" "values read in a table";
    "Dual mini-fragment" "JBJS Open Access, about 2022 (authors from memory): two small plates against one" ABSTRACT;
    "Dixon and Mood" "staircase test, as printed in Çalışkan et al., Frattura Integrità Strutturale 58 (2021) 344" "formula read";
    "Golish" "J. Orthop. Surg. Res. 3:28 (2008): plate and pin in four-point bending" ABSTRACT;
    "Greenhill" "Proc. Cambridge Phil. Soc. 4 (1881): column under its own weight" FORMULA;
    "Hartman" "Clin. Pract. 15:101 (2025): locking with one cortex, compression with two" ABSTRACT;
    "Girhammar & Gopu" "1993: partial interaction, after Newmark, Siess & Viest (1951)" FORMULA;
    "Hetényi" "Beams on Elastic Foundation (1946)" FORMULA;
    "Heywood" "hole in tension" FORMULA;
    "Hoogervorst" "Clin. Biomech. (2019): forces in the clavicle" ABSTRACT;
    "Kemper" "Biomed. Sci. Instrum. 42 (2006) 231-236: clavicles bent to failure" ABSTRACT;
    "Lee, Manuel & Rossow" "1968: frame that snaps through" RECOMPUTED;
    "MacNeal & Harder" "Finite Elem. Anal. Des. 1 (1985) 3-20" QUOTED;
    "Mattiasson" "Int. J. Numer. Methods Eng. 17 (1981) 145-153: elastica" QUOTED;
    "Orthop. Traumatol. Surg. Res. 101 (2015)" "pp. 823-826: elastic nails of two sizes and lengths" ABSTRACT;
    "Partal" "J. Orthop. Trauma 24 (2010) 420-425: reconstruction plates, place and locking" ABSTRACT;
    "Pengrung" "BMC Musculoskelet. Disord. (2019): hole or none over the gap" ABSTRACT;
    "Perren" "strain theory" "windows as read in reviews";
    "Pilkey" "Peterson's Stress Concentration Factors" FORMULA;
    "Prandtl" "Kipp-Erscheinungen (1899): lateral buckling" FORMULA;
    "Pretz" "Eur. J. Trauma Emerg. Surg. (2025): two small plates and a nail" ABSTRACT;
    "Ratner" "Biomaterials Science: fatigue of implant metals" "from memory";
    "Reilly & Burstein" "J. Biomech. 8 (1975) 393: limits of cortical bone" "from memory";
    "Roark" "Young & Budynas, Roark's Formulas for Stress and Strain, 7th ed." "table 17.1 as transcribed; others from memory, evaluated independently";
    "Shigley" "Mechanical Engineering Design, 9th ed." "worked examples and tables as quoted, evaluated independently";
    "Smith, Watson and Topper" "mean stress" FORMULA;
    "Smith et al." "Knee Surg. Sports Traumatol. Arthrosc. (2013): failure with devices and after removal" ABSTRACT;
    "Swanson" "Freeman & Day, Med. Biol. Eng. (1971): fatigue of bone" ABSTRACT;
    "Timoshenko" "Strength of Materials; Theory of Elasticity (with Goodier); Theory of Elastic Stability (with Gere)" FORMULA;
    "Vancleef" "Vancleef, Wesseling, Vander Sloten & Jonkers: load cases for clavicle plates" "stated in words";
    "Williams" "1964: shallow toggle" RECOMPUTED;
    "Zeng" "PLoS ONE 10(5) (2015) e0126131: nail and plate against the intact bone" "order as read in the text";
};
