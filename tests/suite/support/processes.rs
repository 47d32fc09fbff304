//! Processes that a process of ours started. Not here: starting and ending them.

use std::process::Command;

/// What `ps` says.
fn listed(words: &[&str]) -> String {
    let listed = Command::new("ps").args(words).output();
    String::from_utf8(listed.expect("a list of processes").stdout).expect("a readable list")
}

/// Every process that another started, and what those started.
pub fn below(process: u64) -> Vec<u64> {
    let listed = listed(&["-e", "-o", "pid=,ppid="]);
    let pairs: Vec<(u64, u64)> = listed
        .lines()
        .filter_map(|line| {
            let mut numbers = line.split_whitespace().map(str::parse);
            Some((numbers.next()?.ok()?, numbers.next()?.ok()?))
        })
        .collect();
    let mut found = vec![process];
    let mut at = 0;
    while at < found.len() {
        let parent = found[at];
        let started = pairs.iter().filter(|(_, above)| *above == parent);
        found.extend(started.map(|(one, _)| *one));
        at += 1;
    }
    found.split_off(1)
}

/// Whether a process still runs; one that is dead and not yet fetched does not.
pub fn runs(process: u64) -> bool {
    let state = listed(&["-o", "stat=", "-p", &process.to_string()]);
    !matches!(state.trim().chars().next(), None | Some('Z'))
}
