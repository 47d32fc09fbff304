//! Story 2: slips of the thumb. Each is asked once, nothing typed is lost, nothing is changed
//! without a tap, and what is kept as typed enters no sum.

use super::{block_page, sampled, typed_in};
use crate::support::farm::Farm;
use crate::support::page::Page;

const NOW: &str = "2027-09-03T07:20:00-04:00";
const KEEP: &str = "Keep it as typed, I'll mend it later";

/// What is typed by its field, what is asked, and the tap that says yes.
struct Slip {
    typed: &'static [(&'static str, &'static str)],
    question: &'static str,
    yes: &'static str,
    /// What the record then says, by label.
    then: &'static [(&'static str, &'static str)],
    /// The value can be, however odd, so that a second Save keeps it.
    possible: bool,
}

const SLIPS: [Slip; 5] = [
    Slip {
        typed: &[("brix_1_1", "215")],
        question: "Did you mean 21.5?",
        yes: "Yes, 21.5",
        then: &[("Sugar", "21.5 °Brix (one bag, about ±1.4)")],
        possible: false,
    },
    Slip {
        typed: &[("brix_1_1", "2.15")],
        question: "Did you mean 21.5?",
        yes: "Yes, 21.5",
        then: &[("Sugar", "21.5 °Brix (one bag, about ±1.4)")],
        possible: true,
    },
    Slip {
        typed: &[("brix_1_1", "21.5"), ("ph_1_1", "33")],
        question: "Did you mean 3.3?",
        yes: "Yes, 3.30",
        then: &[("pH", "3.30 (one bag)")],
        possible: false,
    },
    Slip {
        typed: &[("brix_1_1", "21.5"), ("ph_1_1", "9.6"), ("ta_1", "3.2")],
        question: "These look swapped: pH 3.2, TA 9.6?",
        yes: "Yes, pH 3.2 and TA 9.6",
        then: &[("pH", "3.20 (one bag)"), ("Acid (TA)", "9.6 g/L (one bag)")],
        possible: false,
    },
    Slip {
        typed: &[("brix_1_1", "21.5"), ("ta_1", "0.96")],
        question: "0.96 % = 9.6 g/L tartaric?",
        yes: "Yes, 9.6",
        then: &[("Acid (TA)", "9.6 g/L (one bag)")],
        possible: true,
    },
];

impl Slip {
    /// Types it and holds that one thing is asked, in these words, with all still in its field.
    async fn asked(&self, farm: &Farm) -> Page {
        let page = sampled(farm, "A", self.typed).await;
        page.asks(self.question);
        assert_eq!(page.questions(), [self.question], "nothing else is asked");
        assert!(
            page.offers().iter().any(|one| one == self.yes),
            "{:?}",
            page.offers()
        );
        assert_eq!(page.text_of("a.offer"), ["No, let me fix it"]);
        self.stands_in(&page);
        page
    }

    fn stands_in(&self, page: &Page) {
        for (name, text) in self.typed {
            assert_eq!(page.typed(name), [*text], "{name}");
        }
    }

    /// Holds that the record keeps what was typed.
    fn is_kept_beside(&self, record: &Page) {
        for (name, text) in self.typed {
            assert_eq!(typed_in(record, name).as_deref(), Some(*text), "{name}");
        }
    }
}

/// Holds that block A counts no sample.
async fn nothing_counts(farm: &Farm) {
    block_page(farm, "A").await.says("No sample this season.");
    farm.get("/").await.says("Not sampled");
}

#[tokio::test]
async fn a_tap_mends_it_and_the_typed_text_stays_beside_it() {
    for slip in &SLIPS {
        let farm = Farm::at(NOW).await;
        let asked = slip.asked(&farm).await;
        nothing_counts(&farm).await;
        let record = farm.tap(&asked, slip.yes).await;
        record.is_stored();
        for (label, said) in slip.then {
            assert_eq!(record.value_of(label).as_deref(), Some(*said));
        }
        record.says("As it was typed");
        slip.is_kept_beside(&record);
    }
}

#[tokio::test]
async fn a_second_save_keeps_what_can_be_and_asks_again_about_what_can_not() {
    for slip in &SLIPS {
        let farm = Farm::at(NOW).await;
        let asked = slip.asked(&farm).await;
        let again = farm.save_again(&asked).await;
        if slip.possible {
            again.is_stored();
            slip.is_kept_beside(&again);
        } else {
            assert_eq!(again.status, 422, "{}", again.text());
            slip.stands_in(&again);
            nothing_counts(&farm).await;
        }
    }
}

#[tokio::test]
async fn what_can_be_and_was_kept_by_a_second_save_is_the_value() {
    for (slip, label, said) in [
        (&SLIPS[1], "Bag 1", "looks 2.15)"),
        (&SLIPS[4], "Acid (TA)", "1.0 g/L (one bag)"),
    ] {
        let farm = Farm::at(NOW).await;
        let asked = slip.asked(&farm).await;
        let record = farm.save_again(&asked).await;
        let found = record.value_of(label).unwrap_or_default();
        assert!(found.ends_with(said), "{found}");
    }
}

/// Keeps a slip as typed; the page that mends it.
async fn kept(slip: &Slip) -> (Farm, Page) {
    let farm = Farm::at(NOW).await;
    let asked = slip.asked(&farm).await;
    let kept = farm.tap(&asked, KEEP).await;
    kept.says("Kept as typed 07:20. It enters no sum until somebody mends it.");
    slip.is_kept_beside(&kept);
    nothing_counts(&farm).await;
    farm.get("/held").await.says("A Marquette");
    farm.get("/").await.says("1 entry needs a look");
    let path = format!("/entries/{}/correct", kept.entry());
    let mend = farm.get(&path).await;
    slip.stands_in(&mend);
    (farm, mend)
}

/// One tap on the page that mends it is as good as one on the page that asked.
async fn mended(farm: &Farm, slip: &Slip, mend: &Page) {
    let record = farm.tap(mend, slip.yes).await;
    record.is_stored();
    for (label, said) in slip.then {
        assert_eq!(record.value_of(label).as_deref(), Some(*said));
    }
    slip.is_kept_beside(&record);
    farm.get("/").await.says_not("needs a look");
}

#[tokio::test]
async fn what_can_not_be_is_kept_as_typed_in_no_sum_and_mended_by_a_tap() {
    for slip in [&SLIPS[0], &SLIPS[2]] {
        let (farm, mend) = kept(slip).await;
        mended(&farm, slip, &mend).await;
    }
}

#[tokio::test]
async fn a_swapped_pair_kept_as_typed_can_be_mended_by_typing() {
    let (farm, mend) = kept(&SLIPS[3]).await;
    let right = [("ph_1_1", "3.2"), ("ta_1", "9.6")];
    let stored = farm.send(&mend, &right).await;
    let record = farm.get(stored.location()).await;
    record.is_stored();
    record.says("pH 3.20; TA 9.6 g/L");
    farm.get("/").await.says_not("needs a look");
}

#[tokio::test]
async fn a_decimal_comma_is_read_without_a_word() {
    let farm = Farm::at(NOW).await;
    let record = sampled(&farm, "A", &[("brix_1_1", "21,5")]).await;
    record.is_stored();
    let sugar = record.value_of("Sugar");
    assert_eq!(sugar.as_deref(), Some("21.5 °Brix (one bag, about ±1.4)"));
    assert_eq!(typed_in(&record, "brix_1_1").as_deref(), Some("21,5"));
}

/// Some days after 21.0 the point of 215 and 2.15 falls where the block was, and 25.1 jumped.
#[tokio::test]
async fn the_blocks_last_value_says_where_the_point_belongs() {
    for (typed, question, yes) in [
        ("215", "Did you mean 21.5?", "Yes, 21.5"),
        ("2.15", "Did you mean 21.5?", "Yes, 21.5"),
        (
            "25.1",
            "Jumped 3.6 in 2 days; swapped digits (21.5)?",
            "Yes, 21.5",
        ),
    ] {
        let farm = Farm::at(NOW).await;
        let before = [("date", "2027-09-01"), ("brix_1_1", "21.5")];
        sampled(&farm, "A", &before).await.is_stored();
        let asked = sampled(&farm, "A", &[("brix_1_1", typed)]).await;
        asked.asks(question);
        let record = farm.tap(&asked, yes).await;
        record.is_stored();
        let sugar = record.value_of("Sugar");
        assert_eq!(sugar.as_deref(), Some("21.5 °Brix (one bag, about ±1.4)"));
        assert_eq!(typed_in(&record, "brix_1_1").as_deref(), Some(typed));
    }
}

#[tokio::test]
async fn what_can_be_and_is_kept_as_typed_is_in_no_sum_either() {
    for slip in [&SLIPS[1], &SLIPS[4]] {
        kept(slip).await;
    }
}

#[tokio::test]
async fn a_swapped_pair_is_offered_again_until_it_is_mended() {
    let slip = &SLIPS[3];
    let (farm, mend) = kept(slip).await;
    mended(&farm, slip, &mend).await;
    let farm = Farm::at(NOW).await;
    let asked = slip.asked(&farm).await;
    let again = farm.save_again(&asked).await;
    mended(&farm, slip, &again).await;
}

/// Three slips on one page are three questions, and each tap settles its own alone.
#[tokio::test]
async fn several_slips_are_settled_one_by_one() {
    let farm = Farm::at(NOW).await;
    let typed = [("brix_1_1", "215"), ("ph_1_1", "33"), ("ta_1", "0.96")];
    let mut page = sampled(&farm, "A", &typed).await;
    let mut left = 3;
    for yes in ["Yes, 3.30", "Yes, 9.6", "Yes, 21.5"] {
        assert_eq!(page.questions().len(), left, "{:?}", page.questions());
        for (name, text) in typed {
            assert_eq!(page.typed(name), [text]);
        }
        page = farm.tap(&page, yes).await;
        left -= 1;
    }
    page.is_stored();
    let bag = page.value_of("Bag 1");
    assert_eq!(
        bag.as_deref(),
        Some("21.5 °Brix (looks 21.5); pH 3.30; TA 9.6 g/L")
    );
}
