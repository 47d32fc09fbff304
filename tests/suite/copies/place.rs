//! The second place: a stick that is there, pulled, put back, full, or another farm's.

use std::path::Path;

use chrono::DateTime;
use chrono_tz::Tz;
use endpost::clock::Clock;
use endpost::program::copies::nightly::Keeper;
use endpost::program::copies::place::{NoPlace, Place};
use endpost::program::copies::{copies_in, make, verify};
use endpost::science::copies::Why;
use endpost::store::Store;
use endpost::web::copies::Keeping;
use tempfile::TempDir;

use super::{clock, data_in, names_in};
use crate::support::binary::{backup_into, run, serve_with};
use crate::support::entries::{entry, id, new_store, rain};
use crate::support::farm::{client_at, moment};

struct Stick {
    data: TempDir,
    store: Store,
    usb: TempDir,
}

impl Stick {
    async fn new() -> Self {
        let (data, store) = new_store().await;
        store.enter(entry(1, rain(1, 1.0))).await.unwrap();
        Self {
            data,
            store,
            usb: tempfile::tempdir().unwrap(),
        }
    }

    fn mount(&self) -> std::path::PathBuf {
        self.usb.path().join("stick")
    }

    fn keeper(&self) -> Keeper {
        Keeper {
            folder: data_in(&self.data),
            store: self.store.clone(),
            clock: clock(),
            keeping: Keeping::default(),
            place: Some(Place::at(&self.mount())),
        }
    }
}

fn now() -> DateTime<Tz> {
    clock().now().with_timezone(&Tz::UTC)
}

#[tokio::test]
async fn only_a_marked_folder_is_written_into() {
    let stick = Stick::new().await;
    let keeper = stick.keeper();
    keeper.begin();
    let said = || keeper.keeping.alarms().join("\n");
    assert!(said().contains("it is not there"), "{}", said());
    // The folder that a stick leaves behind where it was mounted.
    std::fs::create_dir(stick.mount()).unwrap();
    keeper.look().await;
    assert!(said().contains("no mark of Endpost's"), "{}", said());
    assert_eq!(names_in(&stick.mount()), Vec::<String>::new());
    let place = Place::at(&stick.mount());
    place.mark(stick.store.house().server_id).unwrap();
    keeper.look().await;
    assert_eq!(said(), "");
    assert_eq!(keeper.keeping.now().second.unwrap().copies, Some(1));
    let copy = copies_in(&stick.mount()).unwrap().remove(0);
    let there = stick.mount().join(copy.name.to_string());
    assert_eq!(verify(&there).await.unwrap().entries, 1);
    assert_eq!(place.mark(id(99)), Err(NoPlace::OfAnotherHouse));
}

#[tokio::test]
async fn what_was_made_while_the_stick_was_out_is_brought_when_it_is_back() {
    let stick = Stick::new().await;
    std::fs::create_dir(stick.mount()).unwrap();
    let house = stick.store.house().server_id;
    Place::at(&stick.mount()).mark(house).unwrap();
    let keeper = stick.keeper();
    keeper.look().await;
    let pulled = stick.usb.path().join("pocket");
    std::fs::rename(stick.mount(), &pulled).unwrap();
    for _ in 0..2 {
        let made = make(&data_in(&stick.data), Why::ByHand, &clock()).await;
        made.unwrap();
    }
    keeper.look().await;
    assert!(!stick.mount().exists(), "nothing is made where no stick is");
    let second = keeper.keeping.now().second.unwrap();
    assert!(second.trouble.unwrap().contains("Put the stick back in"));
    std::fs::rename(&pulled, stick.mount()).unwrap();
    keeper.look().await;
    assert_eq!(keeper.keeping.alarms(), Vec::<String>::new());
    let here = copies_in(&data_in(&stick.data).copies()).unwrap();
    assert_eq!(copies_in(&stick.mount()).unwrap(), here);
}

/// What is spoiled here is not brought there as if it were good.
#[tokio::test]
async fn a_copy_that_reads_back_as_something_else_gets_no_name_there() {
    let stick = Stick::new().await;
    let made = make(&data_in(&stick.data), Why::Daily, &clock()).await;
    let made = made.unwrap();
    let mut bytes = std::fs::read(&made.path).unwrap();
    bytes[5000] ^= 1;
    std::fs::write(&made.path, bytes).unwrap();
    std::fs::create_dir(stick.mount()).unwrap();
    let house = stick.store.house().server_id;
    let place = Place::at(&stick.mount());
    place.mark(house).unwrap();
    let brought = place.bring_over(&data_in(&stick.data).copies(), house, Some(now()));
    let brought = brought.unwrap();
    assert_eq!((brought.copies, brought.spoiled), (vec![], vec![made.name]));
    assert_eq!(names_in(&stick.mount()), ["endpost-place.txt"]);
}

/// One old copy that rots on the farm computer's disk keeps no newer one from the stick, and is
/// called by its name.
#[tokio::test]
async fn a_spoiled_old_copy_keeps_no_newer_one_here() {
    let stick = Stick::new().await;
    let mut keeper = stick.keeper();
    let mut made = Vec::new();
    for day in ["2027-09-08T11:00:00Z", "2027-09-09T11:00:00Z"] {
        keeper.clock = Clock::starting_at(moment(day));
        let copy = make(&keeper.folder, Why::Daily, &keeper.clock).await;
        made.push(copy.unwrap());
    }
    let mut bytes = std::fs::read(&made[0].path).unwrap();
    bytes[5000] ^= 1;
    std::fs::write(&made[0].path, bytes).unwrap();
    std::fs::create_dir(stick.mount()).unwrap();
    let house = stick.store.house().server_id;
    Place::at(&stick.mount()).mark(house).unwrap();
    keeper.look().await;
    let there = copies_in(&stick.mount()).unwrap();
    let there: Vec<_> = there.into_iter().map(|one| one.name).collect();
    assert_eq!(there, [made[1].name]);
    let said = keeper.keeping.alarms().join("\n");
    assert!(said.contains(&made[0].name.to_string()), "{said}");
    assert!(said.contains("The farm computer's own disk"), "{said}");
    assert!(!said.contains("can't be written to"), "{said}");
}

#[tokio::test]
async fn no_room_is_told_as_such() {
    let full = std::io::Error::from(std::io::ErrorKind::StorageFull);
    assert_eq!(NoPlace::from(full), NoPlace::Full);
    assert!(NoPlace::Full.to_string().contains("it is full"));
}

fn alarms_of(page: &str) -> bool {
    page.contains("The second place for copies")
}

async fn today(address: &str) -> String {
    let answer = client_at(address).get(format!("{address}/start")).send();
    answer.await.unwrap().text().await.unwrap()
}

#[tokio::test]
async fn a_missing_stick_is_told_at_the_start_and_on_every_page() {
    let folder = tempfile::tempdir().unwrap();
    let usb = tempfile::tempdir().unwrap();
    let stick = usb.path().join("stick");
    let place = stick.to_str().unwrap();
    let served = serve_with(folder.path(), &["--second-place", place]);
    let said = served.said.join("\n");
    assert!(alarms_of(&said) && said.contains(place), "{said}");
    assert!(alarms_of(&today(&served.address).await));
    served.kill_at_once();
    let data = folder.path().to_str().unwrap();
    let made = backup_into(data, place);
    assert!(made.status.success(), "{made:?}");
    assert_eq!(copies_in(Path::new(place)).unwrap().len(), 1);
    let served = serve_with(folder.path(), &["--second-place", place]);
    let said = served.said.join("\n");
    assert!(!alarms_of(&said), "{said}");
    assert!(!alarms_of(&today(&served.address).await));
}

/// A stick is pulled and put back while the farm is served; nobody waits ten minutes for the words.
#[tokio::test]
async fn a_pulled_stick_is_told_at_the_next_glance_and_so_is_its_return() {
    let stick = Stick::new().await;
    Place::at(&stick.mount())
        .mark(stick.store.house().server_id)
        .unwrap();
    let keeper = stick.keeper();
    keeper.begin();
    keeper.look().await;
    assert_eq!(keeper.keeping.alarms().join("\n"), "");
    let pulled = stick.usb.path().join("pulled");
    std::fs::rename(stick.mount(), &pulled).unwrap();
    keeper.glance().await;
    let said = keeper.keeping.alarms().join("\n");
    assert!(said.contains("it is not there"), "{said}");
    let made = make(&data_in(&stick.data), Why::ByHand, &clock())
        .await
        .unwrap();
    std::fs::rename(&pulled, stick.mount()).unwrap();
    keeper.glance().await;
    assert_eq!(keeper.keeping.alarms().join("\n"), "");
    let there = copies_in(&stick.mount()).unwrap();
    assert!(there.iter().any(|one| one.name == made.name), "{there:?}");
}

#[tokio::test]
async fn a_folder_on_the_farms_own_disk_is_marked_only_when_that_is_meant() {
    let stick = Stick::new().await;
    let data = stick.data.path().to_str().unwrap();
    let refused = |words: &[&str], why: &str| {
        let made = run(&[&["backup", "--data", data], words].concat());
        let said = String::from_utf8_lossy(&made.stderr).into_owned();
        assert!(!made.status.success() && said.contains(why), "{said}");
    };
    let mount = stick.mount();
    let place = mount.to_str().unwrap();
    refused(&["--into", place], "lies on this computer's own disk");
    assert!(!mount.exists(), "nothing is made there");
    let copies = data_in(&stick.data).copies();
    let own = copies.to_str().unwrap();
    refused(
        &["--into", own, "--even-on-same-disk"],
        "the farm's own folder",
    );
    assert!(backup_into(data, place).status.success());
}

/// The stick of another farm is in, and this farm's own copies are gone.
#[tokio::test]
async fn another_farms_copy_is_never_shown() {
    let (ours, theirs) = (Stick::new().await, Stick::new().await);
    let keeper = Keeper {
        place: Some(Place::at(&theirs.mount())),
        ..ours.keeper()
    };
    let house = theirs.store.house().server_id;
    Place::at(&theirs.mount()).mark(house).unwrap();
    theirs.keeper().look().await;
    let copies = copies_in(&theirs.mount()).unwrap();
    assert_eq!(copies.len(), 1);
    let foreign = theirs.mount().join(copies[0].name.to_string());
    let own_folder = data_in(&ours.data).copies();
    std::fs::create_dir_all(&own_folder).unwrap();
    ours.store.met_damage("as good as");
    keeper.show_a_copy().await;
    assert!(!ours.store.has_stand_in(), "from its stick");
    std::fs::copy(&foreign, own_folder.join(copies[0].name.to_string())).unwrap();
    keeper.show_a_copy().await;
    assert!(!ours.store.has_stand_in(), "from the own folder");
    assert!(
        keeper.keeping.now().nothing_to_show,
        "it is not read every 15 s"
    );
}

/// What lies on both sides counts once: five that were asked for stay, wherever they lie.
#[tokio::test]
async fn copies_on_both_sides_count_once() {
    let stick = Stick::new().await;
    let place = Place::at(&stick.mount());
    let house = stick.store.house().server_id;
    place.mark(house).unwrap();
    let data = data_in(&stick.data);
    let copies = data.copies();
    for number in 1..=5 {
        make(&data, Why::ByHand, &clock()).await.unwrap();
        if number == 3 {
            place.bring_over(&copies, house, Some(now())).unwrap();
        }
    }
    let brought = place.bring_over(&copies, house, Some(now())).unwrap();
    assert_eq!(brought.copies.len(), 5);
    assert_eq!(copies_in(&stick.mount()).unwrap().len(), 5);
}

/// While the database is damaged the farm's own days can't be told, and nothing is taken away.
#[tokio::test]
async fn without_the_farms_clock_copies_are_brought_and_none_goes() {
    let stick = Stick::new().await;
    let place = Place::at(&stick.mount());
    let house = stick.store.house().server_id;
    place.mark(house).unwrap();
    let data = data_in(&stick.data);
    for _ in 0..8 {
        let made = make(&data, Why::ByHand, &clock()).await.unwrap();
        place.bring_over(&data.copies(), house, None).unwrap();
        assert!(stick.mount().join(made.name.to_string()).exists());
    }
    assert_eq!(copies_in(&data.copies()).unwrap().len(), 5);
    assert_eq!(copies_in(&stick.mount()).unwrap().len(), 8);
}
