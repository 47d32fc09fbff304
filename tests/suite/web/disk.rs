//! A disk that runs full is said while there is still room to store.

use crate::reach::shed::{Made, Site};

/// What is free is told here, as the program looks for it every hour.
#[tokio::test]
async fn a_disk_that_is_nearly_full_is_said_on_every_page() {
    let site = Site::of(Made::with(&[])).await;
    let pages = ["/", "/house", "/ripeness/new", "/qr", "/harvest/sheet"];
    let (full, said) = (site.disk.clone(), "disk is nearly full: 62 MB left.");
    for (free, is_said) in [(100_000_000, false), (62_900_000, true), (1 << 40, false)] {
        full.saw(free);
        for path in pages {
            let page = site.page(path).await;
            assert_eq!(page.contains(said), is_said, "{path} with {free} bytes");
        }
    }
    site.farm.close().await;
}
