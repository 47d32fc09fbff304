//! The formulas in words, each with one number worked out by the very function that pages use.
//! Not here: the page (`how`).

use chrono::{DateTime, NaiveDate};

use super::assumptions_form::rule_words;
use crate::science::ripeness::acid::{Titration, titrate};
use crate::science::ripeness::alcohol::Rule;
use crate::science::ripeness::density::{oechsle, specific_gravity};
use crate::science::ripeness::juice::{RawReading, correct};
use crate::science::ripeness::plan::{Plan, PlanQuestion, plan};
use crate::science::ripeness::standard_error::{self, Stops, shown_about};
use crate::science::ripeness::{Attribute, Question, Reading, Window, forecast};
use crate::science::sources::{Work, source};
use crate::science::sprays::{Limit, Product, limits};
use crate::web::known::Known;
use crate::web::words;

/// One formula with its worked number.
pub struct Formula {
    pub name: &'static str,
    pub formula: &'static str,
    pub worked: String,
    pub source: String,
}

/// All formulas in use, in the order in which a sample meets them.
pub fn formulas(known: &Known) -> Vec<Formula> {
    vec![
        temperature(),
        day_value(),
        about(),
        stops(known),
        standard_error_of_bags(known),
        sampling_plan(known),
        course(known),
        acid(),
        gravity(),
        alcohol(known),
        hold(),
        Formula {
            name: "State word",
            formula: "By the last sample, the first that holds: Past, a value is beyond the far \
                      edge of your window; Ready, every value with a target was measured at most 4 \
                      days ago and lies inside; Nearing, the early date of the slowest value is at \
                      most 5 days off, or all are inside but older than 4 days; else Hanging. A \
                      value with a target that was never measured bars Ready.",
            worked: "24.3 °Brix of at least 24.0 and TA 12.4 of at most 11.5: not Ready, the acid \
                     is the slower."
                .to_owned(),
            source: "Common practice, no source.".to_owned(),
        },
        Formula {
            name: "Rain since",
            formula: "Rain written down for later days, and for the sample's own day unless both \
                      have a time and the rain's is earlier. From 10 mm (0.4 in.) on the date is \
                      struck through: sample again in 2 to 3 days.",
            worked: format!(
                "6 mm on the 4th and 5 mm on the 5th after a sample on the 3rd: {} mm, struck through.",
                words::plain(6.0 + 5.0)
            ),
            source: "A UK trade article (cluster weight up 5 to 15 % in a day or two); the 10 mm \
                     are judgement."
                .to_owned(),
        },
    ]
}

fn text(work: Work) -> String {
    source(work).text.to_owned()
}

/// A number worked out, or dashes where the sum refuses.
fn shown(value: Option<f64>, decimals: usize) -> String {
    value.map_or_else(|| "—".to_owned(), |value| words::number(value, decimals))
}

fn temperature() -> Formula {
    let raw = RawReading {
        reading: 20.0,
        temperature_c: Some(30.0),
        compensated: false,
        zero_offset: 0.2,
    };
    let done = correct(&raw).ok();
    Formula {
        name: "Refractometer",
        formula: "What water reads at 20 °C is taken off first. Then, only for an instrument that \
                  does not compensate, the temperature correction is added: a polynomial in the \
                  reading and the juice temperature, within 0.0083 °Brix of the published table \
                  from 10 to 25 °C.",
        worked: format!(
            "20.0 read at 30 °C, water reads 0.2: 19.8 and a correction of {} give {} °Brix.",
            shown(done.map(|done| done.correction), 2),
            shown(done.map(|done| done.corrected_brix), 2)
        ),
        source: format!(
            "{} {}",
            text(Work::IcumsaSps3),
            text(Work::OivRefractometry)
        ),
    }
}

fn day_value() -> Formula {
    let bags = [(21.4 + 21.6 + 21.5) / 3.0, (22.0 + 22.2 + 22.1) / 3.0];
    Formula {
        name: "Bag and day",
        formula: "A bag's value is the mean of its readings; a day's value the mean of its bags, \
                  however often each was read and however many berries it held. Only bags make the \
                  day surer.",
        worked: format!(
            "21.4, 21.6, 21.5 make {}; 22.0, 22.2, 22.1 make {}; the day is {}.",
            words::number(bags[0], 1),
            words::number(bags[1], 1),
            words::number((bags[0] + bags[1]) / 2.0, 1)
        ),
        source: "Arithmetic.".to_owned(),
    }
}

fn about() -> Formula {
    let shown_for = |bags: f64| shown(shown_about(bags), 1);
    Formula {
        name: "About ± (bags)",
        formula: "±1.4 ÷ √(bags of 100 berries) °Brix. Half a bag counts half.",
        worked: format!(
            "One bag ±{}, two ±{}, five ±{}.",
            shown_for(1.0),
            shown_for(2.0),
            shown_for(5.0)
        ),
        source: text(Work::MarylandSampling),
    }
}

fn stops(known: &Known) -> Formula {
    let sample = Stops {
        stops: 12,
        samples_per_stop: 1,
        sd: Some(1.1),
        vines_in_block: Some(180),
    };
    let sure = standard_error::stops(Attribute::Brix, &sample, &known.assumptions).ok();
    Formula {
        name: "About ± (single vines or clusters)",
        formula: "The half-width of the 95 % interval: Student's t for n − 1 times √(sd²/n × \
                  (1 − n/N)), n vines of N. Below five vines their own spread says too little: 1.96 \
                  (normal) times √Var, with the starting spreads between and within vines below, \
                  taken as known.",
        worked: format!(
            "12 of 180 vines, standard deviation 1.1: ±{}.",
            shown(sure.and_then(|sure| sure.half_width), 2)
        ),
        source: text(Work::Rankine1962),
    }
}

fn standard_error_of_bags(known: &Known) -> Formula {
    let error = standard_error::bags(Attribute::Brix, 2.0, Some(0.42), &known.assumptions).ok();
    Formula {
        name: "Standard error of bags",
        formula: "What the forecast reckons with: √( ((6·s₀² + (m − 1)·s²) ÷ (6 + m − 1)) ÷ m + \
                  s_inst² ), m bags of standard deviation s; one bag: √(s₀² + s_inst²).",
        worked: format!("Two bags 0.6 apart (s = 0.42): {} °Brix.", shown(error, 2)),
        source: format!(
            "s₀ from {} The weight of six bags is judgement.",
            text(Work::MarylandSampling)
        ),
    }
}

fn course(known: &Known) -> Formula {
    let worked = worked_course(known).unwrap_or_else(|| "—".to_owned());
    Formula {
        name: "Course and dates",
        formula: "We drew the ripening curves a block like this can follow (12 shapes), kept those \
                  that pass near your readings (allowing for rain and for one bad reading), and \
                  counted on which day they cross your target. The dates are those by which 1, 5 \
                  and 9 in 10 of the curves that get there have crossed; beside them stands the \
                  chance that it never does. Earlier seasons of the block shift the start. Beyond \
                  14 days, pH and acid say only weeks: they run about six days early that far out.",
        worked,
        source: "Endpost's own method; tried on 1,500 simulated seasons its 8-in-10 span held the \
                 truth in 84 of 100."
            .to_owned(),
    }
}

fn worked_course(known: &Known) -> Option<String> {
    let day = |month, day| NaiveDate::from_ymd_opt(2027, month, day);
    let error = |bags, sd| standard_error::bags(Attribute::Brix, bags, sd, &known.assumptions).ok();
    let one = error(1.0, None)?;
    let readings = [
        (day(8, 20)?, 18.7, one),
        (day(8, 27)?, 20.1, one),
        (day(8, 31)?, 21.0, one),
        (day(9, 3)?, 21.8, error(2.0, Some(0.6 / 2f64.sqrt()))?),
    ]
    .map(|(date, value, standard_error)| Reading {
        date,
        value,
        standard_error,
    });
    let question = Question {
        attribute: Attribute::Brix,
        window: Window {
            low: Some(24.0),
            ..Window::default()
        },
        today: day(9, 3)?,
        season_end: day(10, 31)?,
        prior: None,
        shape_weights: None,
        assumptions: known.assumptions.clone(),
    };
    let found = forecast(&readings, &question).ok()?;
    let reaching = found.reaching.as_ref()?;
    let [early, middle, late] = reaching.quantiles_if_reached;
    Some(format!(
        "18.7, 20.1, 21.0 from single bags on 20, 27, 31 August and 21.8 from two bags on 3 \
         September, wanted 24.0: {} days from then, {} to {}, and {} not reached by 31 October.",
        shown(middle, 1),
        shown(early, 1),
        shown(late, 1),
        words::percent(reaching.not_reached)
    ))
}

fn sampling_plan(known: &Known) -> Formula {
    let start = &known.assumptions.brix;
    let found = plan(&PlanQuestion {
        sd_between: start.between_vines_sd,
        sd_within: start.within_vine_sd,
        half_width: 0.5,
        confidence: 0.9,
        vines_in_block: 180,
        minutes_per_vine: 1.5,
        minutes_per_sample: 0.25,
        max_per_vine: 20,
    });
    let worked = match found {
        Ok(Plan::Enough(walk)) => format!(
            "±0.5 in 9 of 10 in a block of 180: {} vines, {} from each, {} minutes.",
            walk.vines,
            walk.per_vine,
            words::number(walk.cost_minutes, 0)
        ),
        _ => "—".to_owned(),
    };
    Formula {
        name: "How many vines",
        formula: "Var = σ_v² × (1/n − 1/N) + σ_w² ÷ (n·m), half-width = t × √Var, n vines of N, m \
                  clusters on each. The cheapest n and m that are narrow enough, by minutes to the \
                  next vine and minutes for a cluster.",
        worked,
        source: text(Work::Rankine1962),
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
        name: "Acid from a titration",
        formula: "g/L as tartaric acid = 75 × mL of base × its normality ÷ mL of juice. Results of \
                  different end points don't mix and are kept apart.",
        worked: format!(
            "5 mL of juice, 6.4 mL of 0.1 N: {} g/L.",
            shown(done.ok().map(|done| done.tartaric_g_per_l), 1)
        ),
        source: text(Work::TitrationWorkedExample),
    }
}

fn gravity() -> Formula {
    let gravity = specific_gravity(22.0);
    Formula {
        name: "Specific gravity",
        formula: "SG 20/20 = 1.0000004 + 3.86314888e-3 B + 1.35966858e-5 B² + 4.0169062e-8 B³, \
                  0 to 40 °Brix; °Oechsle = 1000 × (SG − 1).",
        worked: format!(
            "22 °Brix: {} and {} °Oechsle.",
            shown(gravity, 4),
            shown(gravity.map(oechsle), 0)
        ),
        source: text(Work::NbsC440),
    }
}

fn alcohol(known: &Known) -> Formula {
    let rule = known.assumptions.alcohol_rule;
    Formula {
        name: "Potential alcohol",
        formula: "By the rule you chose: a factor of 0.55 to 0.59 times °Brix, or 0.6757 × °Brix − \
                  2.0839 (15 to 25 °Brix). The rules differ by about 0.8 % at 20 °Brix. An \
                  estimate, never a result.",
        worked: format!(
            "22 °Brix: {} % by {}; {} % by {}.",
            shown(rule.percent(22.0), 1),
            rule_words(rule),
            shown(Rule::TableFit.percent(22.0), 1),
            rule_words(Rule::TableFit)
        ),
        source: text(rule.source()),
    }
}

fn hold() -> Formula {
    let worked = DateTime::parse_from_rfc3339("2027-09-04T10:40:00-04:00")
        .ok()
        .and_then(|end| {
            let product = |entry_hours, harvest_days| Product {
                entry_hours: Some(entry_hours),
                harvest_days: Some(harvest_days),
                ..Product::default()
            };
            let tank = [product(12.0, 7.0), product(48.0, 14.0)];
            let found = limits(end, &tank).ok()?;
            let (Limit::At(entry), Limit::At(picking)) = (found.entry, found.picking) else {
                return None;
            };
            let today = end.date_naive();
            Some(format!(
                "End Sat 4 Sept 10:40; 12 h and 7 days, 48 h and 14 days: entry {}, picking {}.",
                words::moment(&entry, today),
                words::moment(&picking, today)
            ))
        });
    Formula {
        name: "Spray holds",
        formula: "Entry = end of spraying + the longest entry hours in the tank. Picking = end of \
                  spraying + 24 h × the longest days to harvest, and never before entry. Elapsed \
                  hours, also over a change of clocks. A blank stays closed until you type the \
                  label's figure.",
        worked: worked.unwrap_or_else(|| "—".to_owned()),
        source: "US EPA worker protection pages; Washington State crop protection guide; \
                 California AG rules 6772(a)(4). The label rules."
            .to_owned(),
    }
}
