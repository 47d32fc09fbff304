//! Whatever comes, typed or sent: nothing panics, no answer leaves its bounds, and no typed text is
//! lost. Each test draws its cases anew; `PROPTEST_CASES` says how many (DEVELOPERS.md, "Fuzzing by
//! hand"). What ever found a fault stands as a test of its own, here or in the room it belongs to.
//! Not here: how texts and bodies are drawn (`draw`).

mod bodies;
mod codes;
mod draw;
mod envelopes;
mod figures;
mod forms;
mod headers;
mod numbers;
mod pasted;
mod places;
mod sheets;
mod times;

use std::fmt::Debug;

use proptest::prelude::*;
use proptest::test_runner::{TestError, TestRunner};
use tokio::runtime::Runtime;

use crate::support::farm::Farm;
use crate::support::page::Page;

/// So many cases unless `PROPTEST_CASES` asks for others. What found something is printed, and is
/// kept as a test with a name instead of a file of seeds.
fn cases(usual: u32) -> ProptestConfig {
    let asked = std::env::var("PROPTEST_CASES").ok();
    ProptestConfig {
        cases: asked.and_then(|text| text.parse().ok()).unwrap_or(usual),
        max_shrink_iters: 2000,
        failure_persistence: None,
        ..ProptestConfig::default()
    }
}

/// A farm that is asked again and again.
struct Asked {
    farm: Farm,
    runtime: Runtime,
}

impl Asked {
    fn started() -> Self {
        let runtime = tokio::runtime::Builder::new_multi_thread()
            .worker_threads(2)
            .enable_all()
            .build()
            .expect("a runtime");
        let farm = runtime.block_on(Farm::started());
        Self { farm, runtime }
    }

    /// Draws cases and asks the farm about each.
    fn about<S: Strategy>(
        &self,
        usual: u32,
        drawn: S,
        ask: impl AsyncFn(&Farm, S::Value) -> Result<(), TestCaseError>,
    ) where
        S::Value: Debug,
    {
        let mut runner = TestRunner::new(cases(usual));
        let found = runner.run(&drawn, |case| self.runtime.block_on(ask(&self.farm, case)));
        match found {
            Ok(()) => {}
            Err(TestError::Fail(why, case)) => panic!("{why}\nfound by {case:#?}"),
            Err(TestError::Abort(why)) => panic!("{why}"),
        }
    }

    /// What came in is as the ledger says, and the farm still answers.
    fn ends_well(self) {
        let Self { farm, runtime } = self;
        runtime.block_on(async {
            let found = farm.store.check().await.expect("a check");
            assert_eq!(found.faults, Vec::<String>::new());
            for path in ["/", "/held", "/phones", "/weather", "/ripeness"] {
                let page = farm.get(path).await;
                assert_eq!(page.status, 200, "{path}: {}", page.text());
            }
            farm.close().await;
        });
    }
}

/// Holds that an answer is one of ours and no fault.
fn no_fault(page: &Page) -> Result<(), TestCaseError> {
    let said = &page.body;
    prop_assert!(page.status < 500, "{} {}: {said}", page.path, page.status);
    prop_assert!(!said.contains("panicked"), "{}: {said}", page.path);
    Ok(())
}
