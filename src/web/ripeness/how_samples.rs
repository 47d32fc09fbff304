//! "How we figure", the samples: what a day's value is, how sure it is, and how many vines to walk.
//! Not here: the sums (`science::ripeness`).

use chrono::NaiveDate;
use uuid::Uuid;

use super::how_worked::{Formula, refused, shown};
use crate::science::ripeness::day::{SampleDay, sample_days};
use crate::science::ripeness::plan::{Plan, PlanQuestion, plan};
use crate::science::ripeness::plan_error;
use crate::science::ripeness::spread::components;
use crate::science::ripeness::standard_error::{self, Stops, shown_about};
use crate::science::ripeness::{Attribute, Bag, BrixReading, Sample, Taken};
use crate::science::sources::Work;
use crate::web::known::Known;
use crate::web::words;

pub fn formulas(known: &Known) -> Vec<Formula> {
    vec![
        day_value(known),
        about(),
        stops(known),
        standard_error_of_bags(known),
        own_spread(),
        sampling_plan(known),
        plan_error(known),
    ]
}

/// A day of September 2027 with bags of 100 berries, the readings of each, and what each weighs.
pub fn day_of(
    known: &Known,
    day: u32,
    bags: &[&[f64]],
    weight_g: Option<f64>,
) -> Option<SampleDay> {
    let bag = |(number, readings): (u16, &&[f64])| Bag {
        number,
        berries: 100,
        weight_g,
        juice_temperature_c: None,
        brix: readings
            .iter()
            .map(|&raw| BrixReading {
                raw,
                corrected: raw,
            })
            .collect(),
        ph: Vec::new(),
        ta: None,
    };
    let date = NaiveDate::from_ymd_opt(2027, 9, day)?;
    let taken = Taken::Bags((1..).zip(bags).map(bag).collect());
    let sample = Sample::of(Uuid::nil(), date, taken);
    sample_days(&[&sample], None, &known.assumptions).pop()
}

fn day_value(known: &Known) -> Formula {
    let (first, second): (&[f64], &[f64]) = (&[21.4, 21.6, 21.5], &[22.0, 22.2, 22.1]);
    let value = |bags: &[&[f64]]| {
        let day = day_of(known, 3, bags, None);
        shown(
            day.and_then(|day| Some(day.value(Attribute::Brix)?.value)),
            1,
        )
    };
    Formula {
        id: "day",
        name: "Bag and day",
        words: "Each bag counts once, however often its juice was read and however many berries it \
                held. Only bags make the day surer.",
        formula: &["Bag = mean of its readings; day = mean of its bags."],
        worked: format!(
            "21.4, 21.6, 21.5 make {}; 22.0, 22.2, 22.1 make {}; the day is {} °Brix.",
            value(&[first]),
            value(&[second]),
            value(&[first, second])
        ),
        works: Vec::new(),
        besides: "Arithmetic.",
    }
}

fn about() -> Formula {
    let shown_for = |bags: f64| shown(shown_about(bags), 1);
    Formula {
        id: "about",
        name: "About ± (bags)",
        words: "How far a day's °Brix may be off, as printed beside it. Half a bag counts half.",
        formula: &["±1.4 ÷ √(bags of 100 berries) °Brix."],
        worked: format!(
            "One bag ±{}, two ±{}, five ±{}.",
            shown_for(1.0),
            shown_for(2.0),
            shown_for(5.0)
        ),
        works: vec![Work::MarylandSampling],
        besides: "",
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
        id: "stops",
        name: "About ± (single vines or clusters)",
        words: "The half-width of the 95 % interval. Below five vines their own spread says too \
                little: then the starting spreads between and within vines below are taken as \
                known.",
        formula: &[
            "From five vines on: t × √(sd² ÷ n × (1 − n ÷ N)), t Student's for n − 1, n vines of N.",
            "Below: 1.96 × √(σ_v² × (1 ÷ n − 1 ÷ N) + σ_w² ÷ n).",
            "The forecast reckons with the root alone, the instrument's error squared added in it.",
        ],
        worked: format!(
            "12 of 180 vines, standard deviation 1.1: ±{}.",
            shown(sure.and_then(|sure| sure.half_width), 2)
        ),
        works: vec![Work::Rankine1962],
        besides: "",
    }
}

fn standard_error_of_bags(known: &Known) -> Formula {
    let error = standard_error::bags(Attribute::Brix, 2.0, Some(0.42), &known.assumptions).ok();
    Formula {
        id: "bag-error",
        name: "Standard error of bags",
        words: "What the forecast reckons with. s₀ is the spread of one bag, taken for as much as \
                six bags of your own.",
        formula: &[
            "Standard error = √( ((6 s₀² + (m − 1) s²) ÷ (6 + m − 1)) ÷ m + s_inst² ), m bags of standard deviation s.",
            "One bag: √(s₀² + s_inst²).",
        ],
        worked: format!("Two bags 0.6 apart (s = 0.42): {} °Brix.", shown(error, 2)),
        works: vec![Work::MarylandSampling],
        besides: "s₀ of °Brix is from there; the weight of six bags is judgement.",
    }
}

fn own_spread() -> Formula {
    let vines = [
        [18.2, 19.6],
        [20.1, 21.4],
        [16.8, 17.5],
        [19.0, 19.8],
        [20.6, 20.2],
    ];
    let found = components(&vines.map(Vec::from)).ok();
    let worked = found.map_or_else(refused, |found| {
        format!(
            "Five vines read twice, 18.2 19.6, 20.1 21.4, 16.8 17.5, 19.0 19.8, 20.6 20.2: MSB {}, \
             MSW {}, n₀ {}; {} °Brix between vines, {} within a vine.",
            words::number(found.ms_between, 2),
            words::number(found.ms_within, 2),
            words::number(found.n0, 1),
            words::number(found.sd_between, 2),
            words::number(found.sd_within, 2)
        )
    });
    Formula {
        id: "spread",
        name: "A block's own spread",
        words: "How much vines differ, and how much the readings of one vine, from a walk with \
                five vines or more of which some were read twice. With fewer, the starting figures \
                below stand.",
        formula: &[
            "MSB = Σ nᵢ (mean of vine i − mean of all)² ÷ (k − 1), k vines with nᵢ readings each.",
            "MSW = Σ (reading − mean of its vine)² ÷ (N − k), N readings in all.",
            "n₀ = (N − Σ nᵢ² ÷ N) ÷ (k − 1).",
            "Within a vine σ_w = √MSW; between vines σ_v = √((MSB − MSW) ÷ n₀), or 0 where MSB is \
             the smaller.",
        ],
        worked,
        works: Vec::new(),
        besides: "One-way analysis of variance, components by moments; a textbook sum.",
    }
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
            "±0.5 in 9 of 10 in a block of 180, 1.5 minutes to the next vine and 0.25 for a \
             cluster: {} vines, {} from each, {} minutes, ±{}.",
            walk.vines,
            walk.per_vine,
            words::number(walk.cost_minutes, 0),
            words::number(walk.half_width, 2)
        ),
        _ => refused(),
    };
    Formula {
        id: "sampling-plan",
        name: "How many vines",
        words: "The cheapest walk that is sure enough: for each number of clusters a vine the \
                smallest number of vines, from 2 on, that is narrow enough; of these the one that \
                takes the fewest minutes.",
        formula: &[
            "Var = σ_v² × (1 ÷ n − 1 ÷ N) + σ_w² ÷ (n m), n vines of N, m clusters on each.",
            "Half-width = t × √Var, t Student's for n − 1.",
            "Minutes = n × minutes to the next vine + n m × minutes for a cluster.",
        ],
        worked,
        works: vec![Work::Rankine1962, Work::NailBerrySamples],
        besides: "The starting spreads are solved from the first; which vines to leave out is from \
                  the second.",
    }
}

fn plan_error(known: &Known) -> Formula {
    let start = &known.assumptions.brix;
    let of = |vines, per_vine| {
        let (between, within) = (start.between_vines_sd, start.within_vine_sd);
        shown(
            plan_error::standard_error(between, within, vines, per_vine).ok(),
            2,
        )
    };
    Formula {
        id: "plan-error",
        name: "Standard error of a walk",
        words: "What a number of vines and clusters comes to in a large block.",
        formula: &["Standard error = √(σ_v² ÷ n + σ_w² ÷ (n m)), n vines, m clusters on each."],
        worked: format!(
            "One cluster on 25 vines: {} °Brix; two on 21: {} °Brix.",
            of(25, 1),
            of(21, 2)
        ),
        works: vec![Work::Rankine1962],
        besides: "",
    }
}
