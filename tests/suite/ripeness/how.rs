//! The page "How we figure" over HTTP: every kind of `endpost figure` has its formula there, with
//! the number that kind answers; the sources listed are those the page cites.
//! Not here: the sums themselves (`published`).

use endpost::program::figure::{self, KINDS};
use endpost::science::sources::{SOURCES, Work, source};
use serde_json::{Value, json};

use crate::support::farm::Farm;
use crate::support::page::Page;

/// Kind, where its formula stands on the page, what to ask, and which of its numbers stands there
/// with so many decimals.
type Held = (
    &'static str,
    &'static str,
    Value,
    &'static [(&'static str, usize)],
);

fn kinds() -> Vec<Held> {
    let juice = json!({"brix": 22.0, "rule": "table-fit"});
    let one =
        |date: &str, mean: f64| json!({"date": date, "mean": mean, "n_sub": 1, "sd_sub": null});
    let ripening = json!({
        "attribute": "brix",
        "samples": [one("2027-08-20", 18.7), one("2027-08-27", 20.1), one("2027-08-31", 21.0),
                    {"date": "2027-09-03", "mean": 21.8, "n_sub": 2, "sd_sub": 0.424_264_068_7}],
        "today": "2027-09-03", "season_end": "2027-10-31",
        "low": 24.0, "high": null, "prior": null, "shape_weights": null,
    });
    vec![
        (
            "refractometer",
            "refractometer",
            json!({"reading": 20.0, "temperature_c": 30.0, "compensated": false, "zero_offset": 0.2}),
            &[("corrected_brix", 2), ("correction", 2)],
        ),
        (
            "juice",
            "gravity",
            juice.clone(),
            &[("specific_gravity", 4), ("oechsle", 0)],
        ),
        (
            "juice",
            "alcohol",
            juice,
            &[("potential_alcohol_percent", 1)],
        ),
        (
            "acid",
            "acid",
            json!({"sample_ml": 5.0, "naoh_ml": 6.4, "naoh_n": 0.1}),
            &[("tartaric_g_per_l", 1)],
        ),
        ("ripening", "curves", ripening.clone(), &[]),
        ("ripening", "start", ripening.clone(), &[]),
        (
            "ripening",
            "weights",
            ripening.clone(),
            &[("plateau_mean", 1), ("plateau_sd", 1)],
        ),
        (
            "ripening",
            "value-on-a-day",
            ripening.clone(),
            &[("mean_on_day.7", 1), ("sd_on_day.7", 2)],
        ),
        (
            "ripening",
            "dates",
            ripening,
            &[
                ("q10_days_if_reached", 1),
                ("q50_days_if_reached", 1),
                ("q90_days_if_reached", 1),
            ],
        ),
        (
            "earlier-seasons",
            "earlier-seasons",
            json!({"target": 22.0, "seasons": [{"plateau_mean": 23.5, "plateau_sd": 0.6}]}),
            &[("plateau_mean", 2), ("plateau_sd", 2)],
        ),
        (
            "sampling-plan",
            "sampling-plan",
            json!({"sd_between": 1.03, "sd_within": 0.71, "half_width": 0.5, "confidence": 0.9,
                   "vines_in_block": 180, "minutes_per_vine": 1.5, "minutes_per_sample": 0.25,
                   "max_per_vine": 20}),
            &[
                ("vines", 0),
                ("per_vine", 0),
                ("cost_minutes", 0),
                ("achieved_half_width", 2),
            ],
        ),
        (
            "spread",
            "spread",
            json!({"groups": [[18.2, 19.6], [20.1, 21.4], [16.8, 17.5], [19.0, 19.8],
                              [20.6, 20.2]]}),
            &[
                ("ms_between", 2),
                ("ms_within", 2),
                ("n0", 1),
                ("sd_between", 2),
                ("sd_within", 2),
            ],
        ),
        (
            "plan-error",
            "plan-error",
            json!({"sd_between": 1.03, "sd_within": 0.71, "vines": 21, "per_vine": 2}),
            &[("se", 2)],
        ),
        (
            "hold",
            "hold",
            json!({"end": "2027-09-04T10:40:00-04:00", "zone": "America/New_York",
                   "products": [{"entry_hours": 12, "harvest_days": 7},
                                {"entry_hours": 48, "harvest_days": 14}]}),
            &[],
        ),
    ]
}

/// The words of one formula's section.
fn section(page: &Page, id: &str) -> String {
    page.text_of(&format!("section#{id}")).join(" ")
}

/// A number of an answer, "mean_on_day.7" being one of a map.
fn number(answer: &Value, key: &str) -> f64 {
    let found = key.split('.').fold(answer, |inside, part| &inside[part]);
    found
        .as_f64()
        .unwrap_or_else(|| panic!("no {key} in {answer}"))
}

#[tokio::test]
async fn every_kind_of_figure_has_its_formula_and_its_number() {
    let farm = Farm::started().await;
    let page = farm.get("/how").await;
    assert_eq!(page.status, 200);
    let held = kinds();
    for kind in KINDS {
        let is_held = held.iter().any(|(name, ..)| *name == kind.name);
        assert!(is_held, "{} has no formula on the page", kind.name);
    }
    for (kind, id, input, numbers) in held {
        let said = section(&page, id);
        let (formula, worked) = said
            .split_once("Worked:")
            .unwrap_or_else(|| panic!("{kind}: no #{id}"));
        assert!(
            formula.contains(['=', ':']),
            "{id} has no formula: {formula}"
        );
        let answer = figure::answer(kind, input).expect(kind);
        for (key, decimals) in numbers {
            let expected = format!("{:.decimals$}", number(&answer, key));
            assert!(
                worked.contains(&expected),
                "{id}: {key} {expected} in {worked}"
            );
        }
    }
    page.says("entry Mon 6 Sept 10:40, picking Sat 18 Sept 10:40");
    farm.close().await;
}

#[tokio::test]
async fn every_formula_is_worked_and_says_where_it_comes_from() {
    let farm = Farm::started().await;
    let page = farm.get("/how").await;
    let sections = page.text_of("section");
    assert!(sections.len() >= 25, "{}", sections.len());
    let ids = page.attributes("section", "id");
    assert_eq!(ids.len(), sections.len());
    for (id, said) in ids.iter().zip(&sections) {
        assert!(!said.contains('—'), "a sum refused: {said}");
        let (_, worked) = said.split_once("Worked:").expect(id);
        assert!(worked.contains(|one: char| one.is_ascii_digit()), "{said}");
        let source = page.text_of(&format!("section#{id} > p.soft")).join("");
        assert!(source.len() >= 10, "{id} has no source");
    }
    farm.close().await;
}

/// The curve by hand: 1 − (1 − 14/39)² and what it makes of 18.0 and 26.0.
#[tokio::test]
async fn the_curve_comes_out_as_with_a_pencil() {
    let farm = Farm::started().await;
    let page = farm.get("/how").await;
    let share = 1.0 - (1.0 - 14.0f64 / 39.0).powi(2);
    let said = section(&page, "curves");
    let wanted = format!(
        "G is {share:.3} and the true value, without weather, {:.2} °Brix",
        18.0 * (1.0 - share) + 26.0 * share
    );
    assert!(said.contains(&wanted), "{wanted} in {said}");
    // From the 1st to the 8th: the 6th is too near.
    let said = section(&page, "change-a-week");
    assert!(said.contains("+1.3 a week"), "{said}");
    // The story of the latest finish: 66 days before 14 Sept 07:30.
    let said = section(&page, "latest-finish");
    assert!(
        said.contains("finish by Sat 10 July 07:30, in practice Fri 9 July"),
        "{said}"
    );
    assert!(section(&page, "acid-units").contains("0.96 %: 9.6 g/L"));
    assert!(section(&page, "earlier-seasons").contains("three sample days or more"));
    assert!(section(&page, "sugar-per-berry").contains("1.20 g a berry, 0.26 g of sugar"));
    farm.close().await;
}

#[tokio::test]
async fn the_sources_listed_are_those_the_page_cites() {
    let farm = Farm::started().await;
    let page = farm.get("/how").await;
    let listed = page.text_of("main > ul > li");
    let cited = [page.text_of("section > p.soft"), page.text_of("td")].concat();
    for one in &SOURCES {
        let is_listed = listed
            .iter()
            .filter(|text| text.starts_with(one.text))
            .count();
        let is_cited = cited.iter().any(|text| text.contains(one.text));
        assert_eq!(is_listed, usize::from(is_cited), "{}", one.text);
    }
    assert!(listed.len() >= 10, "{listed:?}");
    for elsewhere in [
        Work::OregonPosts1986,
        Work::FullerPerrine1991,
        Work::UcDegreeDays,
        Work::Ville1939,
    ] {
        page.says_not(source(elsewhere).text);
    }
    // Another rule for alcohol cites another source; the one it is compared with stays.
    page.says(source(Work::EuropeanMustTable).text);
    farm.close().await;
}
