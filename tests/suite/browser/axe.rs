//! axe-core, one pinned version that tests/all.sh fetches into the target folder, run on a page.
//! Not here: rules of our own (`rules`).

use std::path::{Path, PathBuf};

use sha2::{Digest, Sha256};

use crate::support::binary::PROGRAM;
use crate::support::browser::Browser;

/// Of axe.min.js in version 4.14.1; tests/all.sh holds the hash of the whole package.
const SHA_256: &str = "29348999450cdf2849a8e70b7912fc2da85a849da39c0d0d5394f51d4a9ed95c";

/// target/axe/package/axe.min.js, wherever the target folder is.
fn file() -> PathBuf {
    let target = Path::new(PROGRAM).parent().and_then(Path::parent);
    target
        .expect("the target folder")
        .join("axe/package/axe.min.js")
}

/// The checked source of axe-core.
pub fn source() -> String {
    let file = file();
    let text = std::fs::read_to_string(&file).unwrap_or_else(|error| {
        panic!(
            "axe-core is not at {} ({error}). Run tests/all.sh once; it fetches it.",
            file.display()
        )
    });
    let hash: String = Sha256::digest(&text)
        .iter()
        .map(|byte| format!("{byte:02x}"))
        .collect();
    assert_eq!(
        hash,
        SHA_256,
        "{} is not the pinned axe-core",
        file.display()
    );
    text
}

// axe's own rule for the size of targets stays off: it takes what the bar below covers at the
// moment for small. Ours is stricter.
const RUN: &str = "
    const done = arguments[arguments.length - 1];
    const options = {
        resultTypes: ['violations'],
        rules: { 'color-contrast-enhanced': { enabled: true } },
    };
    axe.run(document, options).then(
        found => done(found.violations.flatMap(rule => rule.nodes.map(node =>
            `${rule.id}: ${node.html.slice(0, 160)} ${node.failureSummary.slice(0, 300)}`))),
        fault => done([`axe itself failed: ${fault}`]));
";

/// Everything axe finds wrong with the open page.
pub async fn violations(browser: &Browser, source: &str) -> Vec<String> {
    browser.ask(source).await;
    super::texts(&browser.await_script(RUN).await)
}
