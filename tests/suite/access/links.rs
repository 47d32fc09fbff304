//! No page offers what its reader may not do: every link that a role sees leads to a page.

use std::collections::{BTreeMap, HashSet, VecDeque};

use crate::support::caller::Caller;
use crate::support::seed::tamarack_bend;

/// Pages alike but for ids and numbers are followed only so often.
const OF_ONE_KIND: usize = 2;

/// Links that lead to a shut door, with the page that has them.
async fn shut(caller: &Caller) -> (usize, Vec<String>) {
    let mut waiting = VecDeque::from([("/".to_owned(), "the start".to_owned())]);
    let mut seen: HashSet<String> = HashSet::from(["/".to_owned()]);
    let mut kinds: BTreeMap<String, usize> = BTreeMap::new();
    let (mut read, mut shut) = (0, Vec::new());
    while let Some((path, from)) = waiting.pop_front() {
        let page = caller.get(&path).await;
        read += 1;
        if [401, 403].contains(&page.status) {
            shut.push(format!("{path} on {from}"));
        }
        for link in page.links() {
            let link = link.split('#').next().unwrap_or_default().to_owned();
            let address = link.split('?').next().unwrap_or_default();
            let kind: Vec<&str> = address
                .split('/')
                .map(
                    |part| match part.contains(|sign: char| sign.is_ascii_digit()) {
                        true => "…",
                        false => part,
                    },
                )
                .collect();
            let count = kinds.entry(kind.join("/")).or_default();
            if *count < OF_ONE_KIND && link.starts_with('/') && seen.insert(link.clone()) {
                *count += 1;
                waiting.push_back((link, path.clone()));
            }
        }
    }
    (read, shut)
}

#[tokio::test]
async fn no_link_leads_to_a_shut_door() {
    let farm = tamarack_bend().await;
    farm.guard().await;
    for (role, least) in [("looker", 25), ("helper", 35), ("keeper", 40)] {
        let (caller, _) = farm.let_in(role).await;
        let (read, shut) = shut(&caller).await;
        assert!(read >= least, "a {role} found only {read} pages");
        assert!(shut.is_empty(), "a {role}: {shut:#?}");
    }
    farm.close().await;
}
