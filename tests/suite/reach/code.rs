//! The square is read again as a camera reads it, from the picture of a page and from the blocks of
//! a terminal.

use endpost::web::reach::Host;
use endpost::web::reach::code::Code;
use scraper::Html;

use crate::support::farm::{Farm, ON_THE_WIFI};
use crate::support::page::selector;

/// Pixels that a module gets.
const SCALE: usize = 4;

/// Rows of modules, dark or not, with the quiet zone.
struct Modules(Vec<Vec<bool>>);

impl Modules {
    /// Paints the runs of a path: "M4 4h7v1h-7z".
    fn of_path(path: &str, side: usize) -> Self {
        let mut rows = vec![vec![false; side]; side];
        for run in path.split('M').filter(|run| !run.is_empty()) {
            let numbers: Vec<usize> = run
                .split(|letter: char| !letter.is_ascii_digit())
                .filter_map(|number| number.parse().ok())
                .collect();
            let [column, row, long, 1, back] = numbers[..] else {
                panic!("no run of one row: {run}");
            };
            assert_eq!(long, back, "{run}");
            rows[row][column..column + long].fill(true);
        }
        Self(rows)
    }

    /// Takes the half blocks of a terminal for what they show, colours and all.
    fn of_lines(lines: &[String]) -> Self {
        let mut rows = Vec::new();
        for line in lines {
            let blocks = line
                .strip_prefix("\x1b[38;5;16;48;5;231m")
                .and_then(|line| line.strip_suffix("\x1b[0m"))
                .expect("black on white, and the terminal's own colours again");
            rows.push(blocks.chars().map(|one| "█▀".contains(one)).collect());
            rows.push(blocks.chars().map(|one| "█▄".contains(one)).collect());
        }
        Self(rows)
    }

    fn assert_quiet_zone(&self) {
        let side = self.0[0].len();
        for (row, modules) in self.0.iter().enumerate() {
            for (column, dark) in modules.iter().enumerate() {
                let inside = (4..side - 4).contains(&row) && (4..side - 4).contains(&column);
                assert!(inside || !dark, "dark at {column} {row}");
            }
        }
    }

    /// What a camera reads.
    fn read(&self) -> String {
        self.assert_quiet_zone();
        let (wide, high) = (self.0[0].len() * SCALE, self.0.len() * SCALE);
        let mut picture = rqrr::PreparedImage::prepare_from_bitmap(wide, high, |x, y| {
            self.0[y / SCALE][x / SCALE]
        });
        let found = picture.detect_grids();
        assert_eq!(found.len(), 1, "squares in the picture");
        found[0].decode().expect("a square that can be read").1
    }
}

#[test]
fn the_square_holds_the_address_in_capitals() {
    for (host, read) in [
        ("192.168.1.20:8087", "HTTP://192.168.1.20:8087/"),
        ("10.0.0.5", "HTTP://10.0.0.5/"),
        ("[fd00::a]:8087", "HTTP://[FD00::A]:8087/"),
        ("farm_1.lan:8087", "HTTP://FARM_1.LAN:8087/"),
    ] {
        let host: Host = host.parse().unwrap();
        let code = Code::of(&host).unwrap();
        let side = usize::try_from(code.side()).unwrap();
        assert_eq!(Modules::of_path(&code.path(), side).read(), read);
        assert_eq!(Modules::of_lines(&code.lines()).read(), read);
    }
}

/// 25 modules and the quiet zone: half as fine as a link with a secret would be.
#[test]
fn a_usual_address_makes_a_small_square() {
    let host: Host = "192.168.100.200:8087".parse().unwrap();
    assert_eq!(Code::of(&host).unwrap().side(), 25 + 8);
}

#[tokio::test]
async fn the_squares_of_the_pages_are_read_as_the_address_beside_them() {
    let farm = Farm::started().await;
    let port = farm.url("").rsplit_once(':').unwrap().1.to_owned();
    let address = format!("http://{ON_THE_WIFI}:{port}/");
    for path in ["/qr", "/qr/sheet"] {
        let page = farm.get(path).await;
        assert!(page.text().contains(&address), "{path}: {}", page.text());
        let document: Html = page.document();
        let picture = document.select(&selector("svg.qr")).next().unwrap();
        let side: usize = picture.attr("viewBox").unwrap()[4..]
            .split(' ')
            .next()
            .and_then(|side| side.parse().ok())
            .unwrap();
        let dark = selector("path[fill='#000']");
        let path_of = picture.select(&dark).next().unwrap().attr("d").unwrap();
        let read = Modules::of_path(path_of, side).read();
        assert_eq!(read, address.to_uppercase(), "{path}");
    }
    farm.close().await;
}
