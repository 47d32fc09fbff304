//! The two seasons behind the demo: weekly samples of each block from veraison to picking, and
//! the weather. The courses are invented; readings scatter about them as bags and looks do.
//! Not here: the running September (`september`).

use chrono::{Days, NaiveDate};

use super::script::{Script, day, evening, noise};
use crate::store::ledger::Kind;

/// One block's course through one season.
struct Course {
    block: &'static str,
    first: &'static str,
    weeks: u16,
    brix: (f64, f64),
    ph: (f64, f64),
    ta: (f64, f64),
}

const fn course(
    block: &'static str,
    first: &'static str,
    weeks: u16,
    brix: (f64, f64),
    ph: (f64, f64),
    ta: (f64, f64),
) -> Course {
    Course {
        block,
        first,
        weeks,
        brix,
        ph,
        ta,
    }
}

/// From the first sample to the last before picking.
const COURSES: &[Course] = &[
    course(
        "A",
        "2025-08-06",
        7,
        (14.1, 26.1),
        (2.86, 3.36),
        (25.5, 10.9),
    ),
    course(
        "B",
        "2025-08-13",
        7,
        (13.6, 24.7),
        (2.82, 3.21),
        (27.0, 12.6),
    ),
    course(
        "C",
        "2025-08-20",
        7,
        (12.3, 20.8),
        (2.91, 3.18),
        (17.5, 9.4),
    ),
    course(
        "D",
        "2025-08-13",
        7,
        (13.0, 22.6),
        (2.94, 3.24),
        (16.0, 8.6),
    ),
    course(
        "E",
        "2025-08-27",
        7,
        (13.8, 21.9),
        (2.96, 3.41),
        (15.5, 7.4),
    ),
    course(
        "A",
        "2026-08-10",
        6,
        (15.0, 25.8),
        (2.88, 3.33),
        (24.0, 11.4),
    ),
    course(
        "B",
        "2026-08-17",
        7,
        (14.2, 24.3),
        (2.84, 3.19),
        (26.0, 13.1),
    ),
    course(
        "C",
        "2026-08-24",
        7,
        (12.9, 20.5),
        (2.93, 3.20),
        (16.5, 9.1),
    ),
    course(
        "D",
        "2026-08-17",
        7,
        (13.4, 22.4),
        (2.95, 3.27),
        (15.5, 8.3),
    ),
    course(
        "E",
        "2026-08-31",
        7,
        (13.4, 21.2),
        (2.95, 3.37),
        (16.5, 7.9),
    ),
];

/// Day, rain in inches (a dash: not measured), lowest and highest in °F.
const WEATHER: &[&str] = &[
    "2025-05-04 - 31 55",
    "2025-08-08 0.35 61 82",
    "2025-08-20 1.15 60 74",
    "2025-09-02 0.28 55 71",
    "2025-09-14 0.70 52 68",
    "2025-09-27 0.12 44 66",
    "2025-10-06 0.45 41 58",
    "2026-05-19 - 30 52",
    "2026-08-12 0.22 63 85",
    "2026-08-26 0.90 60 75",
    "2026-09-05 0.00 51 72",
    "2026-09-16 1.40 54 66",
    "2026-09-30 0.31 43 63",
    "2027-05-09 - 32 57",
    "2027-06-18 0.80 58 76",
    "2027-07-07 0.55 63 84",
    "2027-07-25 1.10 64 80",
];

pub fn write(script: &mut Script) -> anyhow::Result<()> {
    for one in COURSES {
        samples(script, one)?;
    }
    for line in WEATHER {
        weather(script, line)?;
    }
    let frost = [
        ("date", "2025-10-24"),
        ("low", "25"),
        ("high", "47"),
        ("hard_frost", "yes"),
        ("note", "Leaves black by noon. All fruit was in."),
    ];
    let typed = evening(day("2025-10-24")?, "hard frost")?;
    script
        .line(Kind::Weather, "hard frost", typed, &frost)
        .by("JT");
    Ok(())
}

fn samples(script: &mut Script, course: &Course) -> anyhow::Result<()> {
    let first = day(course.first)?;
    for week in 0..course.weeks {
        let date = first + Days::new(u64::from(week) * 7);
        let left = 1.0 - f64::from(week) / f64::from(course.weeks - 1);
        // Sugar slows towards the end, acid does so earlier.
        let along = |(from, to): (f64, f64), power: f64| to + (from - to) * left.powf(power);
        let seed = format!("{} {date}", course.block);
        let truth = Truth {
            brix: along(course.brix, 1.3) + 0.25 * noise(&format!("weather {seed}")),
            ph: along(course.ph, 1.0) + 0.02 * noise(&format!("pH {seed}")),
            ta: along(course.ta, 1.7) + 0.3 * noise(&format!("acid {seed}")),
        };
        let bags = if left < 0.5 { 2 } else { 1 };
        sample(script, course.block, date, truth, bags)?;
    }
    Ok(())
}

/// What the whole block would read.
struct Truth {
    brix: f64,
    ph: f64,
    ta: f64,
}

fn sample(
    script: &mut Script,
    block: &str,
    date: NaiveDate,
    truth: Truth,
    bags: u16,
) -> anyhow::Result<()> {
    let seed = format!("{block} {date}");
    // In 2025 only the old instrument was in the house; pure water reads 0.4 on it.
    let (instrument, water) = match date.to_string().as_str() < "2026" {
        true => ("the old one", 0.4),
        false => ("the blue one", 0.0),
    };
    let date_typed = date.to_string();
    let fields = [
        ("block", block),
        ("date", date_typed.as_str()),
        ("instrument", instrument),
        ("ta_end_1", "ph8_2"),
    ];
    let key = format!("sample {seed}");
    let line = script.line(Kind::Sample, key, evening(date, &seed)?, &fields);
    for bag in 1..=bags {
        let own = truth.brix + water + 0.45 * noise(&format!("bag {bag} {seed}"));
        for look in 1..=2 {
            let read = own + 0.06 * noise(&format!("look {look} {bag} {seed}"));
            line.set(&format!("brix_{bag}_{look}"), format!("{read:.1}"));
        }
        let warm = 69.0 + 2.0 * noise(&format!("juice {bag} {seed}"));
        line.set(&format!("temp_{bag}"), format!("{warm:.0}"));
    }
    line.set("ph_1_1", format!("{:.2}", truth.ph));
    line.set("ta_1", format!("{:.1}", truth.ta));
    line.by(if noise(&seed) > 0.0 { "JT" } else { "OW" });
    Ok(())
}

/// One line of a table of weather, with a note after it if there is one.
pub fn weather(script: &mut Script, line: &str) -> anyhow::Result<()> {
    let mut parts = line.splitn(5, ' ');
    let mut next = || parts.next().unwrap_or_default();
    let (date, rain, low, high, note) = (next(), next(), next(), next(), next());
    let fields = [
        ("date", date),
        ("rain", rain.trim_matches('-')),
        ("low", low),
        ("high", high),
        ("note", note),
    ];
    let typed = evening(day(date)?, line)?;
    script
        .line(Kind::Weather, format!("weather {date}"), typed, &fields)
        .by("RM");
    Ok(())
}
