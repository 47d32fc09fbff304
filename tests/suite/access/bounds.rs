//! Bodies too long and too slow, and connections too many: each is bounded, and others are served.

use std::net::SocketAddr;

use axum::body::Body;
use tokio::io::{AsyncReadExt, AsyncWriteExt};
use tokio::net::{TcpSocket, TcpStream};

use crate::reach::shed::{Made, Site};
use crate::support::farm::Farm;

fn address(farm: &Farm) -> SocketAddr {
    farm.url("")
        .trim_start_matches("http://")
        .parse()
        .expect("an address")
}

/// A connection from another address of this computer, as if it were another phone.
async fn from(own: [u8; 4], farm: &Farm) -> std::io::Result<TcpStream> {
    let socket = TcpSocket::new_v4()?;
    socket.bind((own, 0).into())?;
    socket.connect(address(farm)).await
}

/// A form that is a thousand bytes long, of which five come.
fn unfinished(farm: &Farm) -> String {
    let host = address(farm);
    format!(
        "POST /pair HTTP/1.1\r\nhost: {host}\r\norigin: http://{host}\r\ncontent-type: \
         application/x-www-form-urlencoded\r\ncontent-length: 1000\r\n\r\ncode="
    )
}

async fn is_served(mut line: TcpStream, farm: &Farm) -> bool {
    let host = address(farm);
    let request = format!("GET /pair HTTP/1.1\r\nhost: {host}\r\nconnection: close\r\n\r\n");
    if line.write_all(request.as_bytes()).await.is_err() {
        return false;
    }
    let mut answer = Vec::new();
    // A line that was cut answers nothing.
    let _ = line.read_to_end(&mut answer).await;
    answer.starts_with(b"HTTP/1.1 200")
}

#[tokio::test]
async fn one_phone_with_many_slow_lines_keeps_no_other_out() {
    let farm = Farm::started().await;
    let mut slow = Vec::new();
    for _ in 0..200 {
        let mut line = from([127, 0, 0, 2], &farm).await.unwrap();
        // A head that never ends, or a body. Lines that are one too many are closed by now or soon.
        let head = match slow.len() % 2 {
            0 => "PUT /api/entries/x HTTP/1.1\r\nhost: ".to_owned(),
            _ => unfinished(&farm),
        };
        let _ = line.write_all(head.as_bytes()).await;
        slow.push(line);
    }
    let other = from([127, 0, 0, 3], &farm).await.unwrap();
    assert!(is_served(other, &farm).await, "another phone is served");
    // The phone with the slow lines has all that one may have.
    let one_more = from([127, 0, 0, 2], &farm).await.unwrap();
    assert!(!is_served(one_more, &farm).await);
    drop(slow);
    farm.close().await;
}

#[tokio::test]
async fn a_body_that_is_too_long_is_cut_off_and_said() {
    let farm = Farm::guarded().await;
    let long = "a".repeat(300 * 1024);
    let page = farm.post("/weather", &[("note", &long)]).await;
    assert_eq!(page.status, 413);
    let (helper, _) = farm.let_in("helper").await;
    let page = helper.post("/weather", &[("note", &long)]).await;
    assert_eq!(page.status, 413);
    // At the door as well, where nobody is known.
    let nobody = crate::support::caller::Caller::on_the_wifi(&farm);
    let page = nobody.post("/weather", &[("note", &long)]).await;
    assert_eq!(page.status, 401);
    farm.close().await;
}

#[tokio::test]
async fn a_body_that_never_comes_is_waited_for_half_a_minute() {
    let site = Site::of(Made::with(&[("eth0", "192.168.1.20")])).await;
    tokio::time::pause();
    let before = tokio::time::Instant::now();
    let never = futures_util::stream::pending::<Result<Vec<u8>, std::io::Error>>();
    let answer = site.post_body("/pair", Body::from_stream(never)).await;
    assert_eq!(answer.status(), 503);
    assert_eq!(before.elapsed().as_secs(), 30);
}
