//! Whatever stands on the input of `endpost figure`: an answer in JSON without a NaN, or a sentence.
//! Not here: what the sums come to (`published`).

use endpost::program::figure::{Figure, KINDS, answer};
use proptest::collection::vec;
use proptest::prelude::*;
use serde_json::Value;

use super::cases;
use super::draw::{slip, text, tree};

fn asked(kind: &Figure, input: Value) -> Result<(), TestCaseError> {
    match answer(kind.name, input) {
        // JSON has no word for what is no number: it would be written as null.
        Ok(found) => prop_assert!(!found.is_null()),
        Err(error) => {
            let said = error.to_string();
            prop_assert!(said.trim_end().ends_with('.'), "{said}");
        }
    }
    Ok(())
}

proptest! {
    #![proptest_config(cases(400))]

    #[test]
    fn an_example_with_slips_is_answered_or_refused_in_words(
        at in 0..KINDS.len(),
        slips in vec(slip(), 1..4),
    ) {
        let mut input: Value = serde_json::from_str(KINDS[at].example).expect("an example");
        slips.iter().for_each(|slip| slip.into(&mut input));
        asked(&KINDS[at], input)?;
    }

    #[test]
    fn any_json_is_answered_or_refused_in_words(at in 0..KINDS.len(), input in tree()) {
        asked(&KINDS[at], input)?;
    }

    #[test]
    fn a_kind_that_is_not_there_is_said(name in text()) {
        let known = KINDS.iter().any(|kind| kind.name == name);
        prop_assert!(known || answer(&name, Value::Null).is_err());
    }
}

/// The search for a quantile found no end there.
#[test]
fn a_block_of_a_thousand_million_vines_is_planned() {
    let kind = KINDS.iter().find(|kind| kind.name == "sampling-plan");
    let plan = |vines: u32| {
        let example = kind.expect("a plan").example;
        let mut input: Value = serde_json::from_str(example).expect("an example");
        input["vines_in_block"] = vines.into();
        answer("sampling-plan", input).expect("a plan")
    };
    let (large, largest) = (plan(1_000_000), plan(u32::MAX));
    for name in ["vines", "per_vine"] {
        assert_eq!(large[name], largest[name], "{name}");
    }
}
