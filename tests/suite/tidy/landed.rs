//! What has landed and is relied on: applied migrations, and the paths that DEVELOPERS.md names.
//! Not here: the tables themselves (`store::file`).

use std::collections::BTreeMap;

use sha2::{Digest, Sha256};

use super::{Breach, File, files_in, none, top};

const HASHES: &str = "tests/fixtures/migrations.sha256";

fn hash(text: &str) -> String {
    Sha256::digest(text)
        .iter()
        .map(|byte| format!("{byte:02x}"))
        .collect()
}

/// Lines as `sha256sum` writes them: the hash, two blanks, the path.
fn listed(text: &str) -> BTreeMap<&str, &str> {
    text.lines()
        .filter_map(|line| line.split_once("  "))
        .map(|(hash, path)| (path, hash))
        .collect()
}

fn migration_breaches(list: &str, files: &[File]) -> Vec<Breach> {
    let listed = listed(list);
    let changed = files.iter().filter_map(|file| {
        let what = match listed.get(file.path.as_str()) {
            Some(known) if **known == hash(&file.text) => return None,
            Some(_) => "an applied migration was changed; write a further one instead",
            None => "a migration that is not listed; add its line once it has landed",
        };
        Some(Breach::at(&file.path, 1, what))
    });
    let gone = listed
        .keys()
        .filter(|path| !files.iter().any(|file| file.path == **path))
        .map(|path| Breach::at(HASHES, 1, format!("{path} is gone")));
    changed.chain(gone).collect()
}

#[test]
fn applied_migrations_are_as_they_were() {
    let list = std::fs::read_to_string(top().join(HASHES)).expect(HASHES);
    none(migration_breaches(&list, &files_in("migrations/", ".sql")));
}

#[test]
fn a_changed_migration_is_found() {
    let file = |text: &str| File {
        path: "migrations/0001_x.sql".to_owned(),
        text: text.to_owned(),
    };
    let list = format!("{}  migrations/0001_x.sql\n", hash("CREATE"));
    assert_eq!(migration_breaches(&list, &[file("CREATE")]), []);
    assert_eq!(migration_breaches(&list, &[file("CREATE ")]).len(), 1);
    assert_eq!(migration_breaches("", &[file("CREATE")]).len(), 1);
    assert_eq!(migration_breaches(&list, &[]).len(), 1);
}

/// The paths a text names between backticks; `{a,b}` is spelled out, `…` and `<…>` are no paths.
fn paths_named(text: &str) -> Vec<(usize, String)> {
    let mut found = Vec::new();
    for (line, text) in (1..).zip(text.lines()) {
        for quoted in text.split('`').skip(1).step_by(2) {
            for word in quoted.split_whitespace() {
                let word = word.trim_end_matches([',', ';', ':', '.']);
                if is_path(word) {
                    found.extend(spelled_out(word).into_iter().map(|path| (line, path)));
                }
            }
        }
    }
    found
}

fn is_path(word: &str) -> bool {
    const TOPS: [&str; 7] = [
        "src/",
        "templates/",
        "static/",
        "migrations/",
        "tests/",
        ".ci/",
        ".github/",
    ];
    const FILES: [&str; 5] = [
        "Cargo.toml",
        "Cargo.lock",
        "README.md",
        "DEVELOPERS.md",
        "LICENSE",
    ];
    let hole = word.contains(['<', '>', '…', '(', '$']);
    !hole && (TOPS.iter().any(|top| word.starts_with(top)) || FILES.contains(&word))
}

fn spelled_out(path: &str) -> Vec<String> {
    let Some((before, rest)) = path.split_once('{') else {
        return vec![path.to_owned()];
    };
    let Some((choices, after)) = rest.split_once('}') else {
        return vec![path.to_owned()];
    };
    choices
        .split(',')
        .flat_map(|choice| spelled_out(&format!("{before}{}{after}", choice.trim())))
        .collect()
}

/// Whether a path is there; `*` stands for any name.
fn exists(path: &str) -> bool {
    let Some((before, after)) = path.split_once('*') else {
        return top().join(path).exists();
    };
    let folder = before.rsplit_once('/').map_or("", |(folder, _)| folder);
    let Ok(inside) = std::fs::read_dir(top().join(folder)) else {
        return false;
    };
    inside.filter_map(Result::ok).any(|file| {
        let path = format!("{folder}/{}", file.file_name().to_string_lossy());
        path.starts_with(before) && path.ends_with(after.trim_start_matches('*'))
    })
}

fn path_breaches(file: &File) -> Vec<Breach> {
    paths_named(&file.text)
        .into_iter()
        .filter(|(_, path)| !exists(path))
        .map(|(line, path)| Breach::at(&file.path, line, format!("{path} is not there")))
        .collect()
}

#[test]
fn developers_md_names_what_is_there() {
    let name = "DEVELOPERS.md";
    let text = std::fs::read_to_string(top().join(name));
    let text = text.unwrap_or_else(|error| panic!("{name} can't be read: {error}"));
    assert!(paths_named(&text).len() > 5, "{name} names no paths");
    none(path_breaches(&File {
        path: name.to_owned(),
        text,
    }));
}

#[test]
fn a_path_that_is_gone_is_found() {
    let planted = |text: &str| {
        path_breaches(&File {
            path: "DEVELOPERS.md".to_owned(),
            text: text.to_owned(),
        })
    };
    let found = planted("x\nSee `src/nowhere.rs` and `src/{lib,attic}.rs`.");
    assert_eq!(
        found,
        [
            Breach::at("DEVELOPERS.md", 2, "src/nowhere.rs is not there"),
            Breach::at("DEVELOPERS.md", 2, "src/attic.rs is not there"),
        ]
    );
    let fine =
        "`src/{lib,main}.rs`, `migrations/*.sql`, `src/<room>.rs`, `cargo test`, `Cargo.toml`";
    assert_eq!(planted(fine), []);
    assert_eq!(planted("`migrations/*.csv`").len(), 1);
}
