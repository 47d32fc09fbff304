//! Coming in while the database is damaged: by the passphrase, and by a code that the keeper makes.
//! Not here: who was in before (`access::damaged`).

use reqwest::Method;

use super::beside::{Visitor, copied, spoil_a_page};
use crate::support::binary::serve;
use crate::support::caller::PASSPHRASE;
use crate::support::farm::{Farm, MORNING};
use crate::support::page::Page;

/// Who may come in can be read, and whoever has no session yet comes in by the passphrase all the
/// same; nothing of it is written down.
#[tokio::test]
async fn the_passphrase_opens_beside_a_damaged_database_as_well() {
    let farm = Farm::at(MORNING).await;
    farm.guard().await;
    let folder = copied(farm).await;
    let spoiled = spoil_a_page(folder.path());
    let served = serve(folder.path());
    assert!(served.said.join("\n").contains("THE DATABASE IS DAMAGED"));
    let visitor = Visitor::at(&served);
    let door = visitor.get("/weather/new").await;
    assert_eq!(door.status, 401);
    let came = visitor.post(
        "/login",
        &[("passphrase", PASSPHRASE), ("then", "/weather/new")],
    );
    let came = came.await;
    assert_eq!(came.status, 303, "{}", came.text());
    let cookie = came.cookie("ep_s").expect("a session");
    let with = async |method: Method, path: &str, cookie: &str, body: &'static str| {
        let asked = visitor.client.request(method, served.url(path));
        let asked = asked
            .header("cookie", cookie)
            .header("content-type", "application/x-www-form-urlencoded")
            .body(body);
        Page::read(path, asked.send().await.unwrap()).await
    };
    let form = with(Method::GET, "/weather/new", &cookie, "").await;
    assert_eq!(form.status, 200, "{}", form.text());
    form.says("endpost restore");
    // A helper's phone comes in by a code as well, and is told whom to tell.
    let made = with(Method::POST, "/phones/new", &cookie, "role=helper").await;
    let code = with(Method::GET, made.location(), &cookie, "").await.code();
    let typed = [("code", code.as_str()), ("then", "/")];
    let came = visitor.post("/pair", &typed).await;
    let helper = came.cookie("ep_s").expect("a session");
    let form = with(Method::GET, "/weather/new", &helper, "").await;
    assert_eq!(form.status, 200, "{}", form.text());
    assert_eq!(with(Method::GET, "/people", &helper, "").await.status, 403);
    served.kill_at_once();
    let left = std::fs::read(folder.path().join("endpost.db")).unwrap();
    assert!(left == spoiled, "it was written on");
}
