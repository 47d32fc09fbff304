//! "How many vines?" over HTTP: what it answers, and that wrong input is kept and asked about.
//! Not here: the cheapest walk itself (`published::sampling`).

use crate::support::farm::{Farm, MORNING};

#[tokio::test]
async fn the_blank_page_asks_nothing_and_a_block_alone_is_answered() {
    let farm = Farm::at(MORNING).await;
    let blank = farm.get("/ripeness/plan").await;
    assert_eq!(blank.status, 200);
    assert_eq!(blank.questions(), [""; 0]);
    assert_eq!(blank.attributes("#about", "value"), ["0.5"]);

    let id = farm.block("A").await;
    let page = farm.get(&format!("/ripeness/plan?block={id}")).await;
    assert_eq!(page.status, 200);
    page.says("Vines differ more than clusters on one vine")
        .says("1.03 °Brix between vines, 0.71 within a vine");
    farm.close().await;
}

#[tokio::test]
async fn wrong_input_is_kept_named_and_answered_422() {
    let farm = Farm::at(MORNING).await;
    let id = farm.block("A").await;
    let page = farm
        .get(&format!(
            "/ripeness/plan?block={id}&about=abc&surety=90&walk=0&take="
        ))
        .await;
    assert_eq!(page.status, 422, "{}", page.text());
    page.says("Nothing is lost. 3 things to look at:")
        .says_not("minutes. That gives");
    for (field, typed) in [("about", "abc"), ("walk", "0"), ("take", "")] {
        let input = format!("#{field}");
        assert_eq!(page.attributes(&input, "value"), [typed]);
        assert_eq!(page.attributes(&input, "aria-invalid"), ["true"]);
        let linked = page.attributes(".summary a", "href");
        assert!(linked.contains(&input), "{linked:?}");
    }
    let chosen = page.attributes("[name=block][checked]", "value");
    assert_eq!(chosen, [id.as_str()]);
    assert_eq!(page.attributes("[name=surety][checked]", "value"), ["90"]);
    page.asks("Type a number above 0, up to 120.");

    // Without a block, with one that is not here, and with a surety nobody offers.
    let page = farm.get("/ripeness/plan?about=abc").await;
    page.asks("Tap the block.");
    assert_eq!(page.attributes("#about", "value"), ["abc"]);
    let page = farm.get("/ripeness/plan?block=Z&surety=50").await;
    page.asks("There is no block \"Z\" here.")
        .asks("Tap how sure it is to be.");
    let page = farm
        .get(&format!("/ripeness/plan?block={id}&about=1e9"))
        .await;
    assert_eq!(page.status, 422, "{}", page.text());
    farm.close().await;
}

#[tokio::test]
async fn a_block_without_rows_is_told_so_and_nothing_is_wrong() {
    let farm = Farm::started().await;
    let id = farm.block("A").await;
    let page = farm.get(&format!("/ripeness/plan?block={id}")).await;
    assert_eq!(page.status, 200);
    page.says("Write down the block's rows first");
    farm.close().await;
}
