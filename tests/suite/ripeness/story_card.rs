//! Story 5: the card in the jacket. What the readiness sheet prints on Fri 17 Sept 2027, and on
//! the 19th when two earlier days have come in late.
//! The figures are the story's own, worked by a separate program.

use super::{block_page, single_bags, wanted};
use crate::support::farm::Farm;

#[tokio::test]
async fn the_sheet_of_the_17th_and_the_sheet_of_the_19th() {
    let farm = Farm::at("2027-09-17T09:00:00-04:00").await;
    wanted(&farm, "D", &[("brix_low", "22.0")]).await;
    let days = [("2027-09-03", "17.6"), ("2027-09-17", "20.2")];
    single_bags(&farm, "D", &days).await;
    let sheet = farm.get("/harvest/sheet").await;
    for told in [
        "about Wed 29 Sept",
        "22 Sept to 14 Oct",
        "17 % not by 31 Oct",
        "rough guess from two samples",
        "from data up to Fri 17 Sept 09:0",
    ] {
        sheet.says(told);
    }

    let farm = farm.later("2027-09-19T18:00:00-04:00").await;
    let block = farm.block("D").await;
    let card = format!("/ripeness/new?block={block}&from=paper");
    assert_eq!(farm.get(&card).await.typed("date"), [""], "never guessed");
    for (date, brix) in [("2027-09-10", "19.5"), ("2027-09-13", "20.0")] {
        let typed = [("date", date), ("brix_1_1", brix)];
        farm.type_in(&card, &typed).await.is_stored();
    }
    let sheet = farm.get("/harvest/sheet").await;
    for told in [
        "about Tue 28 Sept",
        "21 Sept to 11 Oct",
        "15 % not by 31 Oct",
        "from data up to Sun 19 Sept 18:0",
    ] {
        sheet.says(told);
    }
    for past in ["about Wed 29 Sept", "rough guess"] {
        sheet.says_not(past);
    }

    let page = block_page(&farm, "D").await;
    for late in ["entered 9 days later", "entered 6 days later"] {
        page.says(&format!("from paper, {late}"));
    }
    let dates = page.text_of("h2 + ul.list > li strong");
    assert_eq!(
        dates,
        ["Fri 17 Sept", "Mon 13 Sept", "Fri 10 Sept", "Fri 3 Sept"],
        "newest first, whenever they were typed"
    );
}
