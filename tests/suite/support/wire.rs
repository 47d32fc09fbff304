//! A line to the server that breaks: so many bytes of the request get through, or so many of the
//! answer come back. Not here: whole requests (`farm`).

use reqwest::Method;
use tokio::io::{AsyncReadExt, AsyncWriteExt};
use tokio::net::TcpStream;

/// A request as its bytes go over the line.
pub struct Wire {
    host: String,
    pub request: Vec<u8>,
}

/// Where the line breaks.
#[derive(Clone, Copy, Debug)]
pub enum Breaks {
    /// After so many bytes of the request.
    Going(usize),
    /// After so many bytes of the answer.
    Coming(usize),
}

impl Wire {
    /// `address` is "http://127.0.0.1:41235".
    pub fn new(address: &str, method: Method, path: &str, kind: &str, body: &str) -> Self {
        let host = address.trim_start_matches("http://").to_owned();
        let head = format!(
            "{method} {path} HTTP/1.1\r\nhost: {host}\r\norigin: {address}\r\ncontent-type: \
             {kind}\r\ncontent-length: {}\r\nconnection: close\r\n\r\n",
            body.len()
        );
        Self {
            request: [head.as_bytes(), body.as_bytes()].concat(),
            host,
        }
    }

    /// Sends until the line breaks; what came back by then.
    pub async fn send(&self, breaks: Breaks) -> Vec<u8> {
        let mut line = TcpStream::connect(&self.host).await.expect("a line");
        let mut came = Vec::new();
        match breaks {
            Breaks::Going(bytes) => {
                let sent = &self.request[..bytes.min(self.request.len())];
                line.write_all(sent).await.expect("bytes that go");
                line.shutdown().await.expect("an end");
                // The server closes its side; what it still says is lost with the line.
                let _ = line.read_to_end(&mut came).await;
                came.clear();
            }
            Breaks::Coming(bytes) => {
                line.write_all(&self.request).await.expect("bytes that go");
                came.resize(bytes, 0);
                let mut at = 0;
                while at < bytes {
                    match line.read(&mut came[at..]).await {
                        Ok(0) | Err(_) => break,
                        Ok(read) => at += read,
                    }
                }
                came.truncate(at);
            }
        }
        came
    }
}

/// What a path is answered that no client would send as it is.
pub async fn raw(address: &str, path: &str) -> String {
    let host = address.trim_start_matches("http://");
    let request = format!(
        "GET {path} HTTP/1.1\r\nhost: 192.168.1.20:{}\r\nconnection: close\r\n\r\n",
        host.rsplit(':').next().expect("a port")
    );
    let mut line = TcpStream::connect(host).await.expect("a line");
    line.write_all(request.as_bytes()).await.expect("a request");
    let mut answer = Vec::new();
    line.read_to_end(&mut answer).await.expect("an answer");
    String::from_utf8_lossy(&answer).into_owned()
}
