//! "How we figure", the forecast: the curves, where they start, how they are weighed, the dates,
//! earlier seasons, and the change a week.
//! Not here: the sums (`science::ripeness::forecast`, `science::ripeness::seasons`).

use chrono::{Days, NaiveDate};

use super::how_samples::day_of;
use super::how_worked::{Formula, refused, shown};
use crate::science::ripeness::day::change_per_week;
use crate::science::ripeness::forecast::{SHAPES, default_shape_weights};
use crate::science::ripeness::seasons::{prior, shape_weights};
use crate::science::ripeness::{
    Assumptions, Attribute, Forecast, Plateau, Question, Reading, Window, forecast, standard_error,
};
use crate::web::known::Known;
use crate::web::words;

/// Of the twelve curves the one with q = 1 and D = 39, and the one with q = 2 and D = 39.
const STRAIGHT_39: usize = 2;
const SLOWING_39: usize = 8;

const OUR_OWN: &str = "Endpost's own method and judgement; tried on 1,500 simulated seasons its \
                       8-in-10 span held the truth in 84 of 100.";

pub fn formulas(known: &Known) -> Vec<Formula> {
    let example = example(known);
    let found = example.as_ref();
    vec![
        curves(known),
        start(known),
        weights(found),
        day_ahead(found),
        dates(found),
        earlier_seasons(known),
        change_a_week(known, found),
    ]
}

/// The forecast of one small series: three single bags and a day of two.
fn example(known: &Known) -> Option<Forecast> {
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
    forecast(&readings, &question).ok()
}

const THE_EXAMPLE: &str = "18.7, 20.1, 21.0 from single bags on 20, 27, 31 August and 21.8 from two \
                           bags on 3 September, wanted 24.0";

fn curves(known: &Known) -> Formula {
    let worked = worked_curve(known).unwrap_or_else(refused);
    Formula {
        id: "curves",
        name: "The ripening curves",
        words: "We drew the ripening curves a block like this can follow: from a level a at the \
                season's first reading to a plateau P. G is the share of the way that is done. The \
                weather pushes the value off the curve and lets it come back: that is d.",
        formula: &[
            "true(t) = a × (1 − G(t)) + P × G(t) + d(t), t in days since the season's first reading.",
            "G(t) = 1 − max(0, 1 − t ÷ D)^q; D is 20, 28, 39, 55, 77 or 108 days; q is 1 or 2 for \
             °Brix and pH, 2 or 4 for acid: twelve curves.",
            "d has mean 0 and covariance τ² × exp(−days between ÷ memory of the weather); τ is the \
             small, middle or large wobble below.",
            "A reading is true(t) plus an error, normal, of the reading's standard error.",
        ],
        worked,
        works: Vec::new(),
        besides: OUR_OWN,
    }
}

/// The forecast with one curve left, and level and plateau all but known, is that curve.
fn worked_curve(known: &Known) -> Option<String> {
    const ALL_BUT_KNOWN: f64 = 1e-6;
    let (level, plateau, days) = (18.0, 26.0, 14);
    let mut assumptions: Assumptions = known.assumptions.clone();
    assumptions.brix.start_mean = level;
    assumptions.brix.start_sd = ALL_BUT_KNOWN;
    assumptions.brix.wobble = [ALL_BUT_KNOWN; 3];
    let mut only = [0.0; SHAPES];
    only[SLOWING_39] = 1.0;
    let first = NaiveDate::from_ymd_opt(2027, 8, 20)?;
    let readings = [0, 1].map(|after| Reading {
        date: first + Days::new(after),
        value: level,
        standard_error: 1.0,
    });
    let question = Question {
        attribute: Attribute::Brix,
        window: Window::default(),
        today: first + Days::new(1),
        season_end: first + Days::new(60),
        prior: Some(Plateau {
            mean: plateau,
            sd: ALL_BUT_KNOWN,
        }),
        shape_weights: Some(only),
        assumptions,
    };
    let value = *forecast(&readings, &question).ok()?.mean.get(days - 1)?;
    Some(format!(
        "From 18.0 to 26.0 by the curve with D 39 and q 2: after {days} days G is {} and the true \
         value, without weather, {} °Brix.",
        words::number((value - level) / (plateau - level), 3),
        words::number(value, 2)
    ))
}

fn start(known: &Known) -> Formula {
    let plain = prior(Attribute::Brix, 24.0, &[], &known.assumptions).ok();
    let weights = default_shape_weights();
    Formula {
        id: "start",
        name: "Where the forecast starts",
        words: "What is believed before a reading counts: that your target can be reached with \
                something to spare. It is what lets two readings give a sane answer; every reading \
                makes it count less. The figures are in the list below.",
        formula: &[
            "a is normal with the level at the first reading and its standard deviation.",
            "P is normal with mean T + margin where the value rises, T − margin where it falls; T is \
             the edge of your window that is met first, else your aim. Without either: the plateau \
             without a target.",
            "Weights: D of 20 to 108 days 1, 2, 3, 3, 2, 1 in 24 for each q; the three wobbles as \
             below.",
            "With n readings, three or more: no reading is bad, 1 − n × share of bad readings; each \
             one is bad, that share. A bad one has a standard error so many times larger. With two \
             readings none is. Of more than twelve the latest twelve count.",
        ],
        worked: format!(
            "°Brix, at least 24.0 wanted: P is {} with a standard deviation of {}; the curve with D \
             39 and q 1 weighs {}.",
            shown(plain.map(|plain| plain.mean), 1),
            shown(plain.map(|plain| plain.sd), 1),
            shown(Some(weights[STRAIGHT_39]), 3)
        ),
        works: Vec::new(),
        besides: "Judgement.",
    }
}

fn weights(found: Option<&Forecast>) -> Formula {
    let worked = found.map_or_else(refused, |found| {
        let straight: f64 = found.shape_weights[..SHAPES / 2].iter().sum();
        let bad = found.p_outlier.last().copied().flatten();
        format!(
            "{THE_EXAMPLE}: the straight lines (q 1) weigh {} and the slowing ones (q 2) {}; the \
             plateau is {} with a standard deviation of {}; the last reading is bad with a chance \
             of {}.",
            words::percent(straight),
            words::percent(1.0 - straight),
            words::number(found.plateau.mean, 1),
            words::number(found.plateau.sd, 1),
            bad.map_or_else(refused, words::percent)
        )
    });
    Formula {
        id: "weights",
        name: "How well a curve fits",
        words: "Each curve, with each size of wobble and each choice of the bad reading, weighs more \
                the nearer it passes your readings. A reading that is bad with a chance above one \
                half is said to look off; it is never deleted.",
        formula: &[
            "For one of them: r = y − H μ; V = standard errors squared on the diagonal (a bad one's \
             enlarged) + τ² × exp(−days between ÷ memory); H has the rows (1 − G(tᵢ), G(tᵢ)); μ and \
             L are the means and the inverse variances of a and P at the start.",
            "A = H′ V⁻¹ H + L; b = H′ V⁻¹ r; a and P become β = μ + A⁻¹ b.",
            "log weight = −½ (r′ V⁻¹ r − b′ A⁻¹ b + ln |V| + ln |A|) + ln (weights of curve, wobble \
             and bad reading at the start). All weights w together are made 1.",
        ],
        worked,
        works: Vec::new(),
        besides: OUR_OWN,
    }
}

fn day_ahead(found: Option<&Forecast>) -> Formula {
    let on = |values: fn(&Forecast) -> &Vec<f64>, decimals| {
        shown(
            found.and_then(|found| values(found).get(7).copied()),
            decimals,
        )
    };
    Formula {
        id: "value-on-a-day",
        name: "The value on a day to come",
        words: "The line and the band of the drawing: each curve gives a normal distribution for the \
                day, and the weighed sum of all is what we say. In 8 of 10 cases the true value \
                lies inside the band.",
        formula: &[
            "cᵢ = τ² × exp(−days from x to reading i ÷ memory); k = V⁻¹ c; h = (1 − G(x), G(x)).",
            "m = k′ y + (h − H′ k)′ β; v = τ² − c′ k + (h − H′ k)′ A⁻¹ (h − H′ k).",
            "Mean = Σ w m; variance = Σ w (v + (m − mean)²); the band lies between the values that \
             the sum is below with 1 in 10 and 9 in 10.",
        ],
        worked: format!(
            "{THE_EXAMPLE}: on 10 September {} °Brix with a standard deviation of {}, in 8 of 10 \
             cases {} to {}.",
            on(|found| &found.mean, 1),
            on(|found| &found.sd, 2),
            on(|found| &found.band_low, 1),
            on(|found| &found.band_high, 1)
        ),
        works: Vec::new(),
        besides: OUR_OWN,
    }
}

fn dates(found: Option<&Forecast>) -> Formula {
    let worked = found.and_then(worked_dates).unwrap_or_else(refused);
    Formula {
        id: "dates",
        name: "Course and dates",
        words: "We kept the curves that pass near your readings and counted on which day they cross \
                your target. The dates are those by which 1, 5 and 9 in 10 of the curves that get \
                there have crossed; beside them stands the chance that it never does. Below 2 in 10 \
                of getting there, no date. Beyond 14 days, pH and acid say only weeks: they run \
                about six days early that far out.",
        formula: &[
            "F(x) = the largest so far, on the days from today to x, of Σ w Φ((m − T) ÷ √v) where \
             the value rises, Σ w Φ((T − m) ÷ √v) where it falls; Φ is the chance below, of the \
             normal distribution.",
            "Not reached = 1 − F(season end).",
            "The date for 1 in 10 is the first day with F ≥ 0.1 × F(season end), by a straight line \
             between days, rounded up to a whole day; so for 5 and 9 in 10.",
            "In the window on a day = Σ w (Φ((high − m) ÷ √v) − Φ((low − m) ÷ √v)). It leaves the \
             window on the first day on which the chance of being beyond the far edge is one half.",
        ],
        worked,
        works: Vec::new(),
        besides: OUR_OWN,
    }
}

fn worked_dates(found: &Forecast) -> Option<String> {
    let reaching = found.reaching.as_ref()?;
    let [early, middle, late] = reaching.quantiles_if_reached;
    let dates = [early?, middle?, late?].map(|days| found.date_after(days));
    let [early_date, middle_date, late_date] = dates;
    Some(format!(
        "{THE_EXAMPLE}: F is {} after 7 days, {} after 14; {} days from then, {} to {}: about {}, \
         between {} and {}; {} not reached by 31 October.",
        words::percent(*reaching.by_day.get(7)?),
        words::percent(*reaching.by_day.get(14)?),
        shown(middle, 1),
        shown(early, 1),
        shown(late, 1),
        words::day(middle_date?),
        words::day(early_date?),
        words::day(late_date?),
        words::percent(reaching.not_reached)
    ))
}

fn earlier_seasons(known: &Known) -> Formula {
    let past = [Plateau {
        mean: 23.5,
        sd: 0.6,
    }];
    let start = |seasons| prior(Attribute::Brix, 22.0, seasons, &known.assumptions).ok();
    let (plain, found) = (start(&[]), start(&past));
    let mut only = [0.0; SHAPES];
    only[SLOWING_39] = 1.0;
    Formula {
        id: "earlier-seasons",
        name: "Earlier seasons",
        words: "A block's earlier seasons shift where its curves end and how they bend. The same \
                forecast is run on the readings of each; its plateau is what carries over and not \
                the last reading, since picking stops the record at the target. Only a season with \
                three sample days or more counts, by our own rule: two days fit any curve.",
        formula: &[
            "μ is normal with mean T + margin (T − margin where the value falls) and variance s² − \
             b²; s is the plateau's standard deviation and b that between seasons.",
            "The plateau x of a season with standard deviation u is normal around μ with variance \
             b² + u².",
            "Precision = 1 ÷ (s² − b²) + Σ 1 ÷ (b² + u²); new mean = (mean ÷ (s² − b²) + Σ x ÷ (b² + \
             u²)) ÷ precision; new variance = 1 ÷ precision + b².",
            "Weights of the curves = half those of the start + half the mean of the seasons' own.",
        ],
        worked: format!(
            "At least 22.0 wanted, one earlier plateau of 23.5 ± 0.6: P starts at {} with a standard \
             deviation of {}, and not at {} with {}. Had that season followed the curve with D 39 and \
             q 2 alone, it would start with a weight of {}.",
            shown(found.map(|found| found.mean), 2),
            shown(found.map(|found| found.sd), 2),
            shown(plain.map(|plain| plain.mean), 1),
            shown(plain.map(|plain| plain.sd), 1),
            shown(Some(shape_weights(&[only])[SLOWING_39]), 2)
        ),
        works: Vec::new(),
        besides: "Normal pooling, a textbook sum; the spread between seasons, the half and the \
                  three days are judgement.",
    }
}

fn change_a_week(known: &Known, found: Option<&Forecast>) -> Formula {
    let series: Option<Vec<_>> = [(1, 20.3), (6, 21.4), (8, 21.6)]
        .into_iter()
        .map(|(day, value)| day_of(known, day, &[&[value]], None))
        .collect();
    let between = series.and_then(|series| change_per_week(&series, Attribute::Brix));
    let ahead = found.and_then(|found| Some(found.mean.get(7)? - found.mean.first()?));
    let change = |value: Option<f64>| value.map_or_else(refused, |value| words::change(value, 1));
    Formula {
        id: "change-a-week",
        name: "Change a week",
        words: "Where there is a forecast, what it expects of the coming week. Without one, what the \
                readings did: from the latest one that is at least four days older than the last, \
                since over fewer days bags differ more than the fruit ripens.",
        formula: &[
            "Ahead: mean on the day a week from today − mean today.",
            "Between readings: 7 × (last − earlier) ÷ days between.",
        ],
        worked: format!(
            "{THE_EXAMPLE}: {} °Brix in the coming week. 20.3 on the 1st, 21.4 on the 6th, 21.6 on \
             the 8th: {} a week.",
            change(ahead),
            change(between)
        ),
        works: Vec::new(),
        besides: "Arithmetic; the four days are judgement.",
    }
}
