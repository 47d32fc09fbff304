//! What a formula on "How we figure" consists of, and the list of all of them.
//! Each worked number comes out of the very function that pages use.
//! Not here: the formulas (`how_samples`, `how_walk`, `how_course`, `how_juice`, `how_house`), the page (`how`).

use super::{how_course, how_house, how_juice, how_samples, how_walk};
use crate::science::sources::{Work, source};
use crate::web::known::Known;
use crate::web::words;

/// One formula with its worked number.
pub struct Formula {
    /// Its place on the page.
    pub id: &'static str,
    pub name: &'static str,
    /// What it does, in plain words.
    pub words: &'static str,
    /// The formula itself, line by line.
    pub formula: &'static [&'static str],
    pub worked: String,
    /// What it rests on; none where `besides` says what else it is.
    pub works: Vec<Work>,
    /// What there is to say of its origin beside the works.
    pub besides: &'static str,
}

impl Formula {
    /// Where it comes from, in words.
    pub fn source(&self) -> String {
        let mut texts: Vec<&str> = self.works.iter().map(|work| source(*work).text).collect();
        texts.extend(Some(self.besides).filter(|text| !text.is_empty()));
        texts.join(" ")
    }
}

/// All formulas in use, in the order in which a sample meets them.
pub fn formulas(known: &Known) -> Vec<Formula> {
    let mut all = how_juice::reading();
    all.extend(how_samples::formulas(known));
    all.extend(how_walk::formulas(known));
    all.extend(how_course::formulas(known));
    all.extend(how_juice::sums(known));
    all.extend(how_house::formulas());
    all
}

/// A number worked out, or a dash where the sum refuses.
pub fn shown(value: Option<f64>, decimals: usize) -> String {
    value.map_or_else(refused, |value| words::number(value, decimals))
}

/// What stands where a sum refuses.
pub fn refused() -> String {
    "—".to_owned()
}
