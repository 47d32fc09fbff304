//! The scripts as they go over the wire: what they weigh, how long they are kept, and pages that a
//! phone may keep. Not here: what they do (`browser`).

use std::io::Write;

use flate2::Compression;
use flate2::write::GzEncoder;

use crate::support::farm::Farm;

/// Every script of the project, all of them in one list.
const ALL: [&str; 11] = [
    "bar.js",
    "box.js",
    "draft.js",
    "fields.js",
    "form.js",
    "keep.js",
    "outbox.js",
    "page.js",
    "send.js",
    "walk.js",
    "words.js",
];
/// Those that every page fetches.
const OF_TODAY: [&str; 6] = [
    "bar.js", "box.js", "keep.js", "page.js", "send.js", "words.js",
];

/// The folder that the scripts of this build lie in: "/s/3f9a0c11d2e45b67".
async fn folder(farm: &Farm) -> String {
    let page = farm.get("/").await;
    let address = page.attributes("script[src]", "src");
    address[0].trim_end_matches("/page.js").to_owned()
}

async fn packed(farm: &Farm, path: &str) -> usize {
    let order = farm.client.get(farm.url(path));
    let answer = order.header("accept-encoding", "gzip").send().await;
    let answer = answer.expect("an answer");
    assert_eq!(answer.status(), 200, "{path}");
    assert_eq!(answer.headers()["content-encoding"], "gzip", "{path}");
    answer.bytes().await.expect("a body to its end").len()
}

/// Ours (judgement): a first visit at the edge of the Wi-Fi must not wait for scripts. Today is
/// weighed file by file as it goes over the wire; all scripts, the ones of single pages too, as one.
#[tokio::test]
async fn all_scripts_and_today_with_its_scripts_are_light() {
    let farm = Farm::demo().await;
    let folder = folder(&farm).await;
    let mut all = Vec::new();
    let mut of_today = packed(&farm, "/").await;
    for name in ALL {
        let bytes = packed(&farm, &format!("{folder}/{name}")).await;
        println!("{name}: {bytes} bytes");
        all.extend(
            farm.get(&format!("{folder}/{name}"))
                .await
                .body
                .into_bytes(),
        );
        if OF_TODAY.contains(&name) {
            of_today += bytes;
        }
    }
    let mut packer = GzEncoder::new(Vec::new(), Compression::default());
    packer.write_all(&all).expect("a packer");
    let all = packer.finish().expect("a packer").len();
    println!("all scripts in one: {all} bytes; Today with its own: {of_today} bytes");
    assert!(all <= 12 * 1024, "{all} bytes");
    assert!(of_today <= 14_000, "{of_today} bytes");
    farm.close().await;
}

#[tokio::test]
async fn the_list_of_scripts_is_whole() {
    let lying: Vec<_> = std::fs::read_dir(concat!(env!("CARGO_MANIFEST_DIR"), "/static"))
        .expect("the folder of scripts")
        .filter_map(|file| file.ok()?.file_name().into_string().ok())
        .filter(|name| name.ends_with(".js"))
        .collect();
    for name in &lying {
        assert!(ALL.contains(&name.as_str()), "{name} is not weighed");
    }
    assert_eq!(lying.len(), ALL.len());
}

#[tokio::test]
async fn a_script_is_kept_for_a_year_under_the_name_of_its_contents_alone() {
    let farm = Farm::started().await;
    let folder = folder(&farm).await;
    let page = farm.get(&format!("{folder}/page.js")).await;
    assert_eq!(page.status, 200);
    assert_eq!(
        page.header("content-type"),
        "text/javascript; charset=utf-8"
    );
    assert!(page.header("cache-control").contains("immutable"));
    assert!(!page.body.contains("//"), "remarks go over the wire");
    // A page kept from before an update gets the scripts of now, and does not keep them.
    let older = farm.get("/s/0000000000000000/page.js").await;
    assert_eq!((older.status, older.body), (200, page.body));
    assert_eq!(
        farm.get("/s/0000000000000000/page.js")
            .await
            .header("cache-control"),
        "no-store"
    );
    assert_eq!(farm.get(&format!("{folder}/none.js")).await.status, 404);
    farm.close().await;
}

#[tokio::test]
async fn only_a_script_gets_a_page_to_keep() {
    let farm = Farm::started().await;
    for (path, may_be_kept) in [
        ("/weather/new", true),
        ("/ripeness/new", true),
        ("/outbox", true),
        ("/", false),
        ("/house", false),
    ] {
        let plain = farm.get(path).await;
        assert_eq!(plain.header("cache-control"), "no-store", "{path}");
        let marked = !plain.attributes("body[data-keep]", "data-keep").is_empty();
        assert_eq!(marked, may_be_kept, "{path}");
        let order = farm.client.get(farm.url(path)).header("endpost-keep", "1");
        let answer = order.send().await.expect("an answer");
        let kept = match may_be_kept {
            true => "private, max-age=604800",
            false => "no-store",
        };
        assert_eq!(answer.headers()["cache-control"], kept, "{path}");
    }
    farm.close().await;
}
