//! "How we figure", the juice: the reading at 20 °C, acid, gravity, alcohol, sugar per berry.
//! Not here: the sums (`science::ripeness`).

use super::assumptions_form::rule_words;
use super::how_samples::day_of;
use super::how_worked::{Formula, shown};
use crate::science::ripeness::acid::{
    Titration, g_per_l_from_percent, tartaric_from_sulfuric, titrate,
};
use crate::science::ripeness::alcohol::Rule;
use crate::science::ripeness::density::{oechsle, specific_gravity};
use crate::science::ripeness::juice::{RawReading, correct};
use crate::science::sources::Work;
use crate::web::known::Known;

/// What is done to a reading before anything else.
pub fn reading() -> Vec<Formula> {
    vec![refractometer()]
}

/// What is worked out from the juice besides.
pub fn sums(known: &Known) -> Vec<Formula> {
    vec![
        acid(),
        acid_in_other_units(),
        gravity(),
        alcohol(known),
        sugar_per_berry(known),
    ]
}

fn refractometer() -> Formula {
    let raw = RawReading {
        reading: 20.0,
        temperature_c: Some(30.0),
        compensated: false,
        zero_offset: 0.2,
    };
    let done = correct(&raw).ok();
    Formula {
        id: "refractometer",
        name: "Refractometer",
        words: "What water reads at 20 °C is taken off first. Then, only for an instrument that does \
                not compensate, the temperature correction is added. It holds from 0 to 40 °Brix and \
                from 5 to 40 °C; beyond that nothing is corrected, and the page asks. Outside 10 to \
                30 °C the page asks as well, whatever the instrument.",
        formula: &[
            "B = reading − what water reads; t = °C − 20; corrected = B + C.",
            "C = t (0.063585 + 5.3531e-4 B − 4.0586e-6 B² − 1.6362e-8 B³) + t² (1.1125e-3 − \
             1.9467e-5 B + 1.2744e-7 B²) − t³ (1.8404e-6 + 1.2461e-8 B).",
        ],
        worked: format!(
            "20.0 read at 30 °C, water reads 0.2: 19.8 and a correction of {} give {} °Brix.",
            shown(done.map(|done| done.correction), 2),
            shown(done.map(|done| done.corrected_brix), 2)
        ),
        works: vec![Work::IcumsaSps3, Work::OivRefractometry],
        besides: "Our own polynomial, within 0.0083 °Brix of the published tables from 10 to 25 °C; \
                  above that it follows a physical formula, as no printed cell was at hand.",
    }
}

fn acid() -> Formula {
    let done = titrate(&Titration {
        sample_ml: 5.0,
        naoh_ml: 6.4,
        naoh_n: 0.1,
        end_point: None,
    });
    Formula {
        id: "acid",
        name: "Acid from a titration",
        words: "Acid is counted as if it were all tartaric. Results of different end points (pH 7, \
                pH 8.2, colour change) don't mix and are kept apart.",
        formula: &[
            "g/L as tartaric acid = 75 × mL of base × its normality ÷ mL of juice.",
            "meq/L = 1000 × the same; g/L as sulfuric acid = 49 × the same.",
        ],
        worked: format!(
            "5 mL of juice, 6.4 mL of 0.1 N: {} g/L.",
            shown(done.ok().map(|done| done.tartaric_g_per_l), 1)
        ),
        works: vec![Work::TitrationWorkedExample, Work::OivTotalAcidity],
        besides: "",
    }
}

fn acid_in_other_units() -> Formula {
    Formula {
        id: "acid-units",
        name: "Acid in per cent, or as sulfuric acid",
        words: "Per cent means grams in 100 mL. French and some other sheets count acid as sulfuric.",
        formula: &[
            "g/L = 10 × %.",
            "g/L as tartaric acid = g/L as sulfuric acid × 75 ÷ 49.",
        ],
        worked: format!(
            "0.96 %: {} g/L. 6.0 g/L as sulfuric acid: {} g/L as tartaric acid.",
            shown(Some(g_per_l_from_percent(0.96)), 1),
            shown(Some(tartaric_from_sulfuric(6.0)), 1)
        ),
        works: vec![Work::TitrationWorkedExample],
        besides: "75 and 49 are the rounded equivalent weights of the two acids.",
    }
}

fn gravity() -> Formula {
    let gravity = specific_gravity(22.0);
    Formula {
        id: "gravity",
        name: "Specific gravity",
        words: "The same sugar on two other scales, from 0 to 40 °Brix.",
        formula: &[
            "SG 20/20 = 1.0000004 + 3.86314888e-3 B + 1.35966858e-5 B² + 4.0169062e-8 B³.",
            "°Oechsle = 1000 × (SG − 1).",
        ],
        worked: format!(
            "22 °Brix: {} and {} °Oechsle.",
            shown(gravity, 4),
            shown(gravity.map(oechsle), 0)
        ),
        works: vec![Work::NbsC440, Work::SugarManual, Work::OechsleScale],
        besides: "Our own fit to these.",
    }
}

fn alcohol(known: &Known) -> Formula {
    let rule = known.assumptions.alcohol_rule;
    let mut works = vec![rule.source()];
    works.extend(Some(Work::EuropeanMustTable).filter(|work| *work != rule.source()));
    Formula {
        id: "alcohol",
        name: "Potential alcohol",
        words: "What the sugar could come to, by the rule you chose. The rules differ by about 0.8 % \
                at 20 °Brix. An estimate, never a result.",
        formula: &[
            "% vol = a factor of 0.55 to 0.59 × °Brix, from 0 to 40 °Brix;",
            "or % vol = 0.6757 × °Brix − 2.0839, from 15 to 25 °Brix.",
        ],
        worked: format!(
            "22 °Brix: {} % by {}; {} % by {}.",
            shown(rule.percent(22.0), 1),
            rule_words(rule),
            shown(Rule::TableFit.percent(22.0), 1),
            rule_words(Rule::TableFit)
        ),
        works,
        besides: "",
    }
}

fn sugar_per_berry(known: &Known) -> Formula {
    let day = day_of(known, 3, &[&[21.8]], Some(120.0));
    Formula {
        id: "sugar-per-berry",
        name: "Sugar per berry",
        words: "It tells ripening from drying and from dilution: where °Brix rises and this does \
                not, the berries only lose water. Needs weighed bags.",
        formula: &[
            "Weight of a berry = g of all weighed bags of the day ÷ their berries.",
            "g of sugar in a berry = its weight × °Brix ÷ 100.",
        ],
        worked: format!(
            "A bag of 100 berries of 120 g at 21.8 °Brix: {} g a berry, {} g of sugar in it.",
            shown(day.as_ref().and_then(|day| day.berry_weight_g), 2),
            shown(day.and_then(|day| day.sugar_per_berry_g()), 2)
        ),
        works: Vec::new(),
        besides: "From memory of common practice. °Brix counts acids and salts as well, so it is \
                  a little too high.",
    }
}
