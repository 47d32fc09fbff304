//! No typed text is lost: whatever goes into a field of a form stands in the page that asks, in the
//! entry that is stored, and in the one that is kept as typed.
//! Not here: what is asked (the rooms), text in envelopes (`envelopes`).

use proptest::collection::vec;
use proptest::prelude::*;
use proptest::sample::Index;
use uuid::Uuid;

use super::draw::{line_of_a_page, lines_of_a_page};
use super::{Asked, no_fault};
use crate::support::farm::Farm;
use crate::support::page::Page;
use crate::web::addresses::forms;

/// Fields that hold typed text, of one line and of several.
const LINES: &str = "form[data-form] input[type=text], form[data-form] input[type=date], \
                     form[data-form] input[type=time]";
const AREAS: &str = "form[data-form] textarea";

/// What is typed: which form, and what into which of its fields.
#[derive(Clone, Debug)]
struct Filled {
    form: Index,
    lines: Vec<(Index, String)>,
    areas: Vec<(Index, String)>,
}

fn filled() -> impl Strategy<Value = Filled> {
    let lines = vec((any::<Index>(), line_of_a_page()), 0..6);
    let areas = vec((any::<Index>(), lines_of_a_page()), 0..2);
    (any::<Index>(), lines, areas).prop_map(|(form, lines, areas)| Filled { form, lines, areas })
}

/// The texts by the names of the page's fields, each name once.
fn by_name(page: &Page, filled: &Filled) -> Vec<(String, String)> {
    let mut typed: Vec<(String, String)> = Vec::new();
    for (wanted, texts) in [(LINES, &filled.lines), (AREAS, &filled.areas)] {
        let names = page.attributes(wanted, "name");
        for (at, text) in texts.iter().filter(|_| !names.is_empty()) {
            let name = at.get(&names).clone();
            typed.retain(|(other, _)| *other != name);
            typed.push((name, text.clone()));
        }
    }
    typed
}

/// As it stands in a page: there a line ends with LF alone, and a browser makes CR LF of it again.
fn on_a_page(text: &str) -> String {
    text.replace("\r\n", "\n")
}

fn stand_in(page: &Page, typed: &[(String, String)]) -> Result<(), TestCaseError> {
    for (name, text) in typed {
        let there = page.typed(name);
        prop_assert_eq!(there, [on_a_page(text)], "{} in {}", name, page.path);
    }
    Ok(())
}

async fn are_kept(farm: &Farm, id: &str, typed: &[(String, String)]) -> Result<(), TestCaseError> {
    let mut read = farm.store.read().await.expect("a view");
    let id = id.parse().expect("an id");
    let entry = read.entry(id).await.expect("a look");
    let fields = entry.expect("the entry that was led to").fields;
    for (name, text) in typed {
        let kept: Vec<String> = fields.all(name).map(on_a_page).collect();
        prop_assert_eq!(kept, [on_a_page(text)], "{}", name);
    }
    Ok(())
}

async fn type_into(farm: &Farm, paths: &[String], filled: Filled) -> Result<(), TestCaseError> {
    let path = filled.form.get(paths);
    let blank = farm.get(path).await;
    let typed = by_name(&blank, &filled);
    let fields: Vec<(&str, &str)> = typed
        .iter()
        .map(|(name, text)| (name.as_str(), text.as_str()))
        .collect();
    let mut answer = farm.send(&blank, &fields).await;
    no_fault(&answer)?;
    let asked = answer.status == 422;
    if asked {
        stand_in(&answer, &typed)?;
        // Saved again, what was only asked about is stored; what is wrong is still asked about.
        answer = farm.send(&answer, &[]).await;
        no_fault(&answer)?;
    }
    if answer.status == 422 {
        stand_in(&answer, &typed)?;
        answer = farm.send(&answer, &[("keep", "1")]).await;
        no_fault(&answer)?;
    }
    prop_assert_eq!(answer.status, 303, "{}: {}", path, answer.text());
    let record = answer.record();
    let id = record.strip_prefix("/entries/").unwrap_or_default();
    prop_assert!(Uuid::parse_str(id).is_ok(), "{path} leads to {record}");
    are_kept(farm, id, &typed).await?;
    let shown = farm.get(&record).await;
    prop_assert_eq!(shown.status, 200, "{}: {}", record, shown.text());
    let mended = farm.get(&format!("{record}/correct")).await;
    prop_assert_eq!(mended.status, 200, "{}: {}", mended.path, mended.text());
    // A zone that is one of the common ones is a choice there.
    let typed: Vec<(String, String)> = typed
        .into_iter()
        .filter(|(name, _)| name != "zone")
        .collect();
    stand_in(&mended, &typed)
}

#[test]
fn whatever_is_typed_into_a_form_is_asked_about_or_kept_letter_for_letter() {
    let asked = Asked::started();
    let paths: Vec<String> = asked.runtime.block_on(async {
        let mut found = Vec::new();
        for path in forms() {
            let page = asked.farm.get(&path).await;
            // What a print is to be is no entry: it is asked about until it can be drawn up.
            if path != "/cards/new" && !page.attributes("form[data-form]", "action").is_empty() {
                found.push(path);
            }
        }
        found
    });
    assert!(paths.len() > 6, "{paths:?}");
    asked.about(96, filled(), async |farm, case| {
        type_into(farm, &paths, case).await
    });
    asked.ends_well();
}
