//! Whatever is typed where a code of a card or of a phone is wanted, and any fields as the ledger
//! keeps them: what is written is read as the same. Not here: who is let in (`access`).

use endpost::science::access::PhoneCode;
use endpost::science::cards::CardCode;
use endpost::store::ledger::{Fields, Kind, fingerprint};
use proptest::collection::vec;
use proptest::prelude::*;

use super::cases;
use super::draw::{text, tree};

proptest! {
    #![proptest_config(cases(1000))]

    #[test]
    fn a_card_code_is_read_or_refused_in_words(typed in prop_oneof![text(), "[0-9A-Za-z -]{3,7}"]) {
        match typed.parse::<CardCode>() {
            Ok(code) => {
                prop_assert_eq!(code.to_string().len(), 4);
                prop_assert_eq!(code.to_string().parse(), Ok(code));
                prop_assert_eq!(CardCode::of(code.number()), code);
                prop_assert!(code.number() < 1 << 20);
            }
            Err(error) => prop_assert!(error.to_string().ends_with('.')),
        }
    }

    #[test]
    fn a_phone_code_is_read_or_refused_in_words(typed in prop_oneof![text(), "[0-9A-Za-z -]{7,11}"]) {
        match typed.parse::<PhoneCode>() {
            Ok(code) => {
                prop_assert!(code.to_string().parse() == Ok(code));
                prop_assert!(code.in_one().parse() == Ok(code));
            }
            Err(error) => prop_assert!(error.to_string().ends_with('.')),
        }
    }

    #[test]
    fn any_code_is_written_so_that_it_is_read_again(number in any::<u64>()) {
        let code = PhoneCode::of(number);
        prop_assert!(code.to_string().to_lowercase().parse() == Ok(code));
        let card = CardCode::of(number as u32);
        prop_assert_eq!(card.to_string().to_lowercase().parse(), Ok(card));
    }

    #[test]
    fn fields_are_kept_as_they_were_typed(pairs in vec((text(), text()), 0..12)) {
        let fields: Fields = pairs.iter().map(|(name, text)| (name.as_str(), text.as_str())).collect();
        let kept = serde_json::to_string(&fields).expect("fields as JSON");
        let read: Fields = serde_json::from_str(&kept).expect("the same fields");
        prop_assert_eq!(&read, &fields);
        for (name, _) in &pairs {
            let typed: Vec<&str> = pairs
                .iter()
                .filter(|(other, _)| other == name)
                .map(|(_, text)| text.as_str())
                .collect();
            prop_assert_eq!(read.all(name).collect::<Vec<_>>(), typed);
        }
        let print = |fields| fingerprint(Kind::Weather, 1, None, fields);
        prop_assert_eq!(print(&read), print(&fields));
    }

    #[test]
    fn json_is_fields_or_none(tree in tree(), bytes in vec(any::<u8>(), 0..80)) {
        for json in [tree.to_string().into_bytes(), bytes] {
            if let Ok(fields) = serde_json::from_slice::<Fields>(&json) {
                let again = serde_json::to_vec(&fields).expect("fields as JSON");
                prop_assert_eq!(serde_json::from_slice::<Fields>(&again).expect("fields"), fields);
            }
        }
    }
}
