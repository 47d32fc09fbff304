//! Pages without their style, as an old phone, a reader mode or a broken line shows them: all text
//! still there and in order, labels beside their fields. Not here: pages as they are meant (`rules`).

use super::{rules, texts};
use crate::support::browser::Browser;
use crate::support::seed::tamarack_bend;

/// Text that only the style puts on the page would be lost with it.
const TEXT_OF_THE_STYLE: &str = "
    const said = (one, which) => getComputedStyle(one, which).content;
    return [...document.querySelectorAll('body, body *')].flatMap(one => ['::before', '::after']
        .filter(which => /[\\p{L}\\p{N}]/u.test(said(one, which).replace(/^(none|normal)$/, '')))
        .map(which => `${which} ${said(one, which)} on ${one.outerHTML.slice(0, 90)}`));
";

/// Takes every style away and gives back how many are left.
const STRIP: &str = "
    for (const one of document.querySelectorAll('style, link[rel~=stylesheet]')) one.remove();
    for (const one of document.querySelectorAll('[style]')) one.removeAttribute('style');
    return [...document.styleSheets].map(one => `a style is left: ${one.href}`);
";

/// Every text in the order of the source, but for names that no browser draws; where it stands.
const HELPERS: &str = "
    const drawn = node => node.data.trim()
        && !node.parentElement.closest('script, style, option, svg title, svg desc');
    const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
    const nodes = [];
    while (walker.nextNode()) if (drawn(walker.currentNode)) nodes.push(walker.currentNode);
    const box = node => {
        const range = document.createRange();
        range.selectNodeContents(node);
        return range.getBoundingClientRect();
    };
    const named = node => `\"${node.data.trim().slice(0, 60)}\"`;
";

const RULES: [(&str, &str); 3] = [
    (
        "hidden",
        "const seen = node => {
             const at = box(node);
             return at.width > 0 && at.height > 0 && at.right > 0
                 && at.bottom + window.scrollY > 0
                 && node.parentElement.checkVisibility(
                     { visibilityProperty: true, opacityProperty: true });
         };
         return (nodes.length > 20 ? [] : [`only ${nodes.length} texts`])
             .concat(nodes.filter(node => !seen(node)).map(named));",
    ),
    (
        // The cells of a row stand side by side: a row counts as one line. What is drawn in a
        // chart has its place there.
        "order",
        "const top = node =>
             (node.parentElement.closest('tr')?.getBoundingClientRect() ?? box(node)).top;
         const flow = nodes.filter(node => !node.parentElement.closest('svg'));
         return flow.slice(1)
             .map((node, at) => [flow[at], node])
             .filter(([before, after]) => top(after) < top(before) - 4)
             .map(([before, after]) => `${named(after)} stands above ${named(before)}`);",
    ),
    (
        // Its label goes round a field or stands above it in the same group, with no other field
        // in between.
        "label",
        "const fields = [...document.querySelectorAll(
             'main input:not([type=hidden]), main select, main textarea')];
         const follows = (one, other) =>
             one.compareDocumentPosition(other) & Node.DOCUMENT_POSITION_FOLLOWING;
         const beside = field => [...field.labels].some(label => {
             if (!label.innerText.trim()) return false;
             if (label.contains(field)) return true;
             const [above, below] = [label.getBoundingClientRect(), field.getBoundingClientRect()];
             const between = fields.some(one => one !== field
                 && follows(label, one) && follows(one, field));
             return follows(label, field) && !between && above.top <= below.bottom
                 && label.closest('.field') === field.closest('.field');
         });
         return fields.filter(field => !beside(field)).map(field => field.outerHTML.slice(0, 90));",
    ),
];

/// What is wrong on the open page once its style is gone, by rule.
async fn bare(browser: &Browser) -> Vec<(&'static str, String)> {
    let mut found = Vec::new();
    let mut note = |rule, list: Vec<String>| {
        found.extend(list.into_iter().map(|what| (rule, what)));
    };
    browser.ask(rules::UNFOLD).await;
    note("style", texts(&browser.ask(TEXT_OF_THE_STYLE).await));
    note("style", texts(&browser.ask(STRIP).await));
    for (rule, script) in RULES {
        let script = format!("{HELPERS}{script}");
        note(rule, texts(&browser.ask(&script).await));
    }
    found
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn pages_can_be_read_and_filled_in_without_their_style() {
    let farm = tamarack_bend().await;
    let block = farm.block("A").await;
    let browser = Browser::start().await;
    let mut said = Vec::new();
    for path in [
        "/".to_owned(),
        format!("/blocks/{block}"),
        format!("/ripeness/new?block={block}"),
    ] {
        browser.open(&farm.url(&path)).await;
        for (rule, what) in bare(&browser).await {
            said.push(format!("{path}: {rule}: {what}"));
        }
        // The words a reader meets are those of the source, from the first heading on.
        let heading = browser
            .ask("return document.querySelector('h1').innerText")
            .await;
        let heading = heading.as_str().unwrap_or_default().to_owned();
        let sent = farm.get(&path).await.text_of("h1").join(" ");
        assert_eq!(
            heading.split_whitespace().collect::<Vec<_>>().join(" "),
            sent
        );
    }
    drop(browser);
    farm.close().await;
    assert!(said.is_empty(), "{}", said.join("\n"));
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn the_rules_find_a_planted_slip_on_a_bare_page() {
    let browser = Browser::start().await;
    let page = "data:text/html,<!doctype html><html lang=en><title>x</title><meta charset=utf-8>                <style>p.now::before{content:'held until Monday'}</style><body><main>                <h1>a</h1><p class=now>b</p><p hidden>unseen</p>                <table><tr><td>cell</td></tr><caption>a caption put last</caption></table>                <label for=one>One</label><input id=two><input id=one></main>";
    browser.open(page).await;
    let found = bare(&browser).await;
    for (rule, slip) in [
        ("style", "held until Monday"),
        ("hidden", "unseen"),
        ("order", "a caption put last"),
        ("label", "id=\"one\""),
    ] {
        let is_found = |(name, what): &(&str, String)| *name == rule && what.contains(slip);
        assert!(found.iter().any(is_found), "{rule} in {found:?}");
    }
}
