//! The keeper at the farm computer: the first passphrase, coming in by it, changing it, forgetting
//! it; and what is done there alone.

use crate::support::binary;
use crate::support::caller::{Caller, PASSPHRASE};
use crate::support::entries::id;
use crate::support::farm::{Farm, MORNING};
use crate::support::phone::{Phone, rain};

#[tokio::test]
async fn before_there_is_a_passphrase_this_computer_alone_is_let_in() {
    let farm = Farm::started().await;
    farm.get("/house")
        .await
        .says("Only this computer opens Endpost so far.");
    let phone = Caller::on_the_wifi(&farm);
    for path in ["/", "/blocks", "/ripeness/new", "/start", "/passphrase"] {
        let page = phone.get(path).await;
        assert_eq!(page.status, 401, "{path}");
        page.says("Phones are not let in yet.");
        assert!(
            page.text_of("form").is_empty(),
            "there is no code that could be typed"
        );
    }
    let answer = phone.put(&rain(&mut Phone::new(1), id(1), "0.2")).await;
    assert_eq!(answer.status, 401);
    assert!(answer.body.contains("not_let_in"));
    assert!(!answer.header("endpost-server").is_empty());
    // A phone can't make itself the keeper.
    let typed = [("new", "mine from now on"), ("again", "mine from now on")];
    assert_eq!(phone.post("/passphrase", &typed).await.status, 401);
    assert!(farm.store.keys().passphrase.is_none());
    farm.close().await;
}

#[tokio::test]
async fn whoever_comes_through_another_program_is_not_at_the_house() {
    let farm = Farm::started().await;
    for header in ["forwarded", "x-forwarded-for", "x-real-ip", "via"] {
        let request = farm
            .client
            .get(farm.url("/house"))
            .header(header, "192.168.1.9");
        assert_eq!(request.send().await.unwrap().status(), 401, "{header}");
    }
    farm.close().await;
}

#[tokio::test]
async fn a_passphrase_has_eight_letters_and_is_typed_twice() {
    let farm = Farm::started().await;
    for (new, again, why) in [
        ("short", "short", "at least 8 letters"),
        ("long enough", "long enougj", "not the same"),
        ("", "", "at least 8 letters"),
    ] {
        let page = farm
            .post("/passphrase", &[("new", new), ("again", again)])
            .await;
        assert_eq!(page.status, 422);
        page.says(why);
        assert!(farm.store.keys().passphrase.is_none());
    }
    farm.guard().await;
    farm.close().await;
}

#[tokio::test]
async fn the_keeper_comes_in_by_it_and_lands_where_they_were_going() {
    let farm = Farm::guarded().await;
    let here = Caller::at_the_house(&farm);
    let door = here.get("/blocks?sort=name").await;
    assert_eq!(door.status, 401);
    let form = door.form();
    assert_eq!(form.path, "/login");
    let typed = [("passphrase", PASSPHRASE)];
    here.tap(&door, "Come in", &typed)
        .await
        .sent_to("/blocks?sort=name");
    assert_eq!(here.get("/farm-settings").await.status, 404);
    here.get("/house").await.says("Settings");
    here.post("/leave", &[]).await.sent_to("/pair");
    assert_eq!(here.get("/house").await.status, 401);
    farm.close().await;
}

#[tokio::test]
async fn the_passphrase_is_taken_at_the_house_alone() {
    let farm = Farm::guarded().await;
    let phone = Caller::on_the_wifi(&farm);
    let page = phone.post("/login", &[("passphrase", PASSPHRASE)]).await;
    assert_eq!(page.status, 403);
    page.says("only at the farm computer itself");
    assert!(page.cookie("ep_s").is_none());
    farm.close().await;
}

#[tokio::test]
async fn a_new_passphrase_wants_the_old_one() {
    let farm = Farm::guarded().await;
    let new = [
        ("new", "eight crates of Vidal"),
        ("again", "eight crates of Vidal"),
    ];
    let page = farm.post("/passphrase", &new).await;
    assert_eq!(page.status, 422);
    page.says("This is not the passphrase so far.");
    let mut with = new.to_vec();
    with.push(("passphrase", PASSPHRASE));
    farm.post("/passphrase", &with).await.sent_to("/phones");
    let here = Caller::at_the_house(&farm);
    let old = here.post("/login", &[("passphrase", PASSPHRASE)]).await;
    assert_eq!(old.status, 422);
    let new = here
        .post(
            "/login",
            &[("passphrase", "eight crates of Vidal"), ("then", "/")],
        )
        .await;
    new.sent_to("/");
    farm.close().await;
}

#[tokio::test]
async fn a_secret_that_was_there_before_is_worth_nothing_afterwards() {
    let farm = Farm::guarded().await;
    let planted = Caller::with_cookie(&farm, "ep_s=planted");
    let came = planted
        .post(
            "/pair",
            &[("code", &farm.code_for("helper").await), ("then", "/")],
        )
        .await;
    let cookie = came.sent_to("/").cookie("ep_s").unwrap();
    assert_ne!(cookie, "ep_s=planted");
    assert!(cookie.len() > 40, "{cookie}");
    assert_eq!(planted.get("/blocks").await.status, 401);
    assert_eq!(
        Caller::with_cookie(&farm, &cookie)
            .get("/blocks")
            .await
            .status,
        200
    );
    // Whoever comes in anew leaves by the way they had.
    let again = Caller::with_cookie(&farm, &cookie);
    let code = farm.code_for("looker").await;
    let newer = again
        .post("/pair", &[("code", &code), ("then", "/")])
        .await
        .cookie("ep_s")
        .unwrap();
    assert_eq!(again.get("/blocks").await.status, 401);
    assert_eq!(
        Caller::with_cookie(&farm, &newer)
            .get("/blocks")
            .await
            .status,
        200
    );
    farm.close().await;
}

#[tokio::test]
async fn settings_are_changed_at_the_house_and_it_says_so_elsewhere() {
    let farm = Farm::guarded().await;
    let (keeper, _) = farm.let_in("keeper").await;
    keeper
        .get("/house")
        .await
        .says("are set at the farm computer itself");
    let page = keeper.get("/people/new").await;
    assert_eq!(page.status, 403);
    page.says("Over plain http anybody on the Wi-Fi can listen in");
    let typed = [("initials", "MK"), ("name", "Marta")];
    let page = keeper.post("/people", &typed).await;
    assert_eq!(page.status, 403);
    page.says("initials: MK");
    farm.get("/people").await.says_not("MK");
    // What a phone sends from out of range is kept, and waits for the keeper.
    let mut envelope = rain(&mut Phone::new(1), id(1), "0.2");
    envelope["form"] = "person".into();
    envelope["fields"] = serde_json::json!({"initials": "MK", "here": "yes"});
    let answer = keeper.put(&envelope).await;
    assert_eq!(answer.status, 202, "{}", answer.body);
    assert!(answer.body.contains("The keeper says whether it stands."));
    farm.get("/people").await.says_not("MK");
    // Nor is a phone made the keeper's from there.
    let page = keeper.post("/phones/new", &[("role", "keeper")]).await;
    assert_eq!(page.status, 422);
    keeper
        .post("/phones/new", &[("role", "helper")])
        .await
        .sent_to("/phones/codes/");
    farm.close().await;
}

#[tokio::test]
async fn many_tries_at_once_wait_as_one_after_the_other_do() {
    let farm = Farm::guarded().await;
    let here = Caller::at_the_house(&farm);
    let typed = [("passphrase", "a guess at it")];
    let tries = (0..12).map(|_| here.post("/login", &typed));
    let answers = futures_util::future::join_all(tries).await;
    let tried = answers.iter().filter(|page| page.status == 422).count();
    let told_to_wait = answers.iter().filter(|page| page.status == 429).count();
    assert_eq!((tried, told_to_wait), (5, 7));
    farm.close().await;
}

#[tokio::test]
async fn of_two_first_passphrases_at_once_one_is_set() {
    let farm = Farm::started().await;
    let (one, other) = (Caller::at_the_house(&farm), Caller::at_the_house(&farm));
    let first = [
        ("new", "eight crates of Vidal"),
        ("again", "eight crates of Vidal"),
    ];
    let second = [
        ("new", "nine posts of larch"),
        ("again", "nine posts of larch"),
    ];
    let (first, second) = futures_util::join!(
        one.post("/passphrase", &first),
        other.post("/passphrase", &second)
    );
    let mut answers = [first.status, second.status];
    answers.sort_unstable();
    // The other may have come when the door was shut already.
    assert_eq!(answers[0], 303);
    assert!([401, 422].contains(&answers[1]), "{answers:?}");
    farm.close().await;
}

#[tokio::test]
async fn a_passphrase_typed_after_the_end_is_carried_nowhere() {
    let farm = Farm::started().await;
    let page = farm.get("/passphrase").await;
    let late = Caller::at_the_house(&farm);
    farm.guard().await;
    let typed = [
        ("new", "my new secret words"),
        ("again", "my new secret words"),
    ];
    let door = late.tap(&page, "Set it", &typed).await;
    assert_eq!(door.status, 401);
    assert!(!door.body.contains("secret"), "{}", door.body);
    farm.close().await;
}

#[tokio::test]
async fn junk_in_the_keepers_pages_is_a_slip_and_no_fault() {
    let farm = Farm::guarded().await;
    for junk in [
        "",
        "\u{0}",
        "<b>",
        "%%",
        "../..",
        "0199f000-0000-7000-8000-000000000001",
    ] {
        for (path, name) in [
            ("/phones/new", "role"),
            ("/shares", "what"),
            ("/pair", "code"),
            ("/passphrase", "new"),
            ("/phones/x/call", "called"),
            ("/phones/0199f000-0000-7000-8000-000000000001/same", "as"),
        ] {
            let page = farm.post(path, &[(name, junk)]).await;
            assert!(
                [303, 404, 422, 429].contains(&page.status),
                "{path} {junk:?}: {}",
                page.status
            );
            assert!(!page.body.contains("<b>"), "{path}");
        }
    }
    farm.close().await;
}

#[tokio::test]
async fn a_forgotten_passphrase_is_set_anew_from_the_terminal() {
    let farm = Farm::guarded().await;
    let (_, cookie) = farm.let_in("helper").await;
    let folder = farm.close().await;
    let data = folder.path().to_str().unwrap();
    let said = binary::run_with_input(&["passphrase", "--data", data], "short\n");
    assert_eq!(said.status.code(), Some(1));
    assert!(String::from_utf8_lossy(&said.stderr).contains("at least 8 letters"));
    let said = binary::run_with_input(&["passphrase", "--data", data], "nine posts of larch\n");
    assert!(said.status.success(), "{said:?}");
    let farm = Farm::in_folder(folder, MORNING).await;
    let here = Caller::at_the_house(&farm);
    let typed = [("passphrase", "nine posts of larch"), ("then", "/")];
    here.post("/login", &typed).await.sent_to("/");
    assert_eq!(
        Caller::with_cookie(&farm, &cookie)
            .get("/blocks")
            .await
            .status,
        200
    );
    farm.close().await;
}
