//! The packages that Endpost is made of: each may be used and handed on by anybody, and none of our
//! own code steps around what the compiler holds.
//! Not here: which packages there are (`Cargo.toml`), and faults found in them since.

use std::process::Command;

use serde_json::Value;

use super::code::tokens;
use super::{Breach, File, files_in, none, top};

/// Licences that let anybody use a package and hand it on with this program. Those that
/// packages have stand here.
const ALLOWED: [&str; 11] = [
    "0BSD",
    "Apache-2.0",
    "Apache-2.0 WITH LLVM-exception",
    "BSD-3-Clause",
    "BSL-1.0",
    "ISC",
    "MIT",
    "MPL-2.0",
    "Unicode-3.0",
    "Unlicense",
    "Zlib",
];

/// What cargo knows of a package.
struct Package {
    name: String,
    licence: Option<String>,
}

/// The packages that this computer builds, by what cargo has fetched already: nothing is asked of
/// the network.
fn packages() -> Vec<Package> {
    let asked = Command::new(env!("CARGO"))
        .args(["metadata", "--locked", "--offline", "--format-version", "1"])
        .args(["--filter-platform", &this_platform()])
        .current_dir(top())
        .output()
        .expect("cargo");
    let complaint = String::from_utf8_lossy(&asked.stderr);
    assert!(asked.status.success(), "{complaint}");
    let told: Value = serde_json::from_slice(&asked.stdout).expect("what cargo tells");
    let listed = told["packages"].as_array().expect("a list of packages");
    let packages: Vec<Package> = listed
        .iter()
        .map(|one| Package {
            name: format!(
                "{} {}",
                one["name"].as_str().unwrap_or(""),
                one["version"].as_str().unwrap_or("")
            ),
            licence: one["license"].as_str().map(str::to_owned),
        })
        .collect();
    assert!(packages.len() > 100, "only {} packages", packages.len());
    packages
}

/// "x86_64-unknown-linux-gnu", as the compiler calls this computer.
fn this_platform() -> String {
    let told = Command::new("rustc").arg("-vV").output().expect("rustc");
    let told = String::from_utf8(told.stdout).expect("what rustc tells");
    let host = told.lines().find_map(|line| line.strip_prefix("host: "));
    host.expect("a line \"host: …\"").to_owned()
}

/// The licences that an expression is made of, in words as SPDX has them.
fn licences(expression: &str) -> Vec<&str> {
    expression
        // Before 2018 a stroke stood for "or".
        .split('/')
        .flat_map(|part| part.split(" OR "))
        .flat_map(|part| part.split(" AND "))
        .map(|part| part.trim_matches(['(', ')', ' ']))
        .collect()
}

/// All that a licence asks for must be allowed, and so must each of several to choose from: nobody
/// has to find out later which was chosen.
fn licence_breaches(packages: &[Package]) -> Vec<Breach> {
    let mut found = Vec::new();
    for package in packages {
        let Some(expression) = &package.licence else {
            let what = format!("{} names no licence; read its files", package.name);
            found.push(Breach::at("Cargo.lock", 1, what));
            continue;
        };
        for licence in licences(expression) {
            if !ALLOWED.contains(&licence) {
                let what = format!(
                    "{} is under \"{expression}\"; {licence:?} is not among the licences that may \
                     go into this program. Take another package, or read the licence and allow it \
                     in {}",
                    package.name,
                    file!()
                );
                found.push(Breach::at("Cargo.lock", 1, what));
            }
        }
    }
    found
}

#[test]
fn every_package_may_be_handed_on() {
    none(licence_breaches(&packages()));
}

#[test]
fn a_licence_that_is_not_allowed_is_found() {
    let planted = |licence: Option<&str>| {
        let package = Package {
            name: "planted 1.0.0".to_owned(),
            licence: licence.map(str::to_owned),
        };
        licence_breaches(&[package]).len()
    };
    assert_eq!(planted(None), 1);
    for slip in [
        "GPL-3.0",
        "MIT OR GPL-3.0-only",
        "(MIT OR Apache-2.0) AND LGPL-2.1",
        "MIT/SSPL-1.0",
        "Apache-2.0 WITH Classpath-exception-2.0",
        "",
    ] {
        assert_eq!(planted(Some(slip)), 1, "{slip:?}");
    }
    for good in [
        "MIT",
        "(Apache-2.0 OR MIT) AND BSD-3-Clause",
        "Apache-2.0 WITH LLVM-exception OR Apache-2.0/MIT",
    ] {
        assert_eq!(planted(Some(good)), 0, "{good:?}");
    }
}

/// The word of the language that switches off what the compiler holds; put together here, so that
/// it does not stand here.
fn word() -> String {
    ["un", "safe"].concat()
}

fn unguarded(file: &File) -> Vec<Breach> {
    let word = word();
    let found = tokens(&file.text).into_iter();
    found
        .filter(|token| token.text == word || token.text == format!("{word}_code"))
        .map(|token| Breach::at(&file.path, token.line, format!("the word {word}")))
        .collect()
}

#[test]
fn the_compiler_holds_all_of_our_code() {
    let sources = [files_in("src/", ".rs"), files_in("tests/", ".rs")];
    none(sources.iter().flatten().flat_map(unguarded).collect());
    let manifest = std::fs::read_to_string(top().join("Cargo.toml")).expect("Cargo.toml");
    let manifest: toml::Table = manifest.parse().expect("a manifest");
    let level = &manifest["lints"]["rust"][&format!("{}_code", word())];
    assert_eq!(level.as_str(), Some("forbid"), "in Cargo.toml");
}

#[test]
fn code_that_the_compiler_does_not_hold_is_found() {
    let planted = |text: String| {
        unguarded(&File {
            path: "src/x.rs".to_owned(),
            text,
        })
    };
    let word = word();
    for slip in [
        format!("fn f() {{ {word} {{ g() }} }}"),
        format!("#![allow({word}_code)]"),
        format!("{word} impl Send for X {{}}"),
    ] {
        assert_eq!(planted(slip.clone()).len(), 1, "{slip}");
    }
    assert_eq!(planted(format!("// {word}\nlet x = \"{word}\";")), []);
}
