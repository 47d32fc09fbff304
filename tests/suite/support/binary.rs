//! The real program as it is built: started on a free port, its address read from what it prints,
//! killed by its own number. Not here: a server inside the test (`farm`).

use std::fs::File;
use std::io::{BufRead, BufReader, Read, Seek, Write};
use std::path::Path;
use std::process::{Child, ChildStdout, Command, Output, Stdio};

use super::browser::FARM_ADDRESS;

/// The program's file.
pub const PROGRAM: &str = env!("CARGO_BIN_EXE_endpost");

/// A served farm in a process of its own; it is killed when it is dropped.
pub struct Served {
    child: Child,
    /// The lines it printed at its start.
    pub said: Vec<String>,
    /// Held open: a program that can't print any more stops with a fault.
    _printed: BufReader<ChildStdout>,
    /// "http://127.0.0.1:41235", without the last stroke.
    pub address: String,
}

/// Runs the program with some words and waits for its end.
pub fn run(words: &[&str]) -> Output {
    Command::new(PROGRAM)
        .args(words)
        .env_remove("ENDPOST_DATA")
        .stdin(Stdio::null())
        .output()
        .expect("the built program")
}

/// Brings a copy to a second place. A test's folders lie on one disk.
pub fn backup_into(data: &str, place: &str) -> Output {
    run(&[
        "backup",
        "--data",
        data,
        "--into",
        place,
        "--even-on-same-disk",
    ])
}

/// The same with something typed into it.
pub fn run_with_input(words: &[&str], input: &str) -> Output {
    let mut child = Command::new(PROGRAM)
        .args(words)
        .env_remove("ENDPOST_DATA")
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("the built program");
    let mut typed = child.stdin.take().expect("its input");
    typed
        .write_all(input.as_bytes())
        .expect("a program that reads");
    drop(typed);
    child.wait_with_output().expect("its end")
}

/// `endpost serve` over a data folder, once it has said where it is.
pub fn serve(data: &Path) -> Served {
    serve_at(data, 0)
}

/// The same with more words on its command line.
pub fn serve_with(data: &Path, words: &[&str]) -> Served {
    let mut program = serving(Command::new(PROGRAM), data, 0);
    program.args(words);
    started(program)
}

/// The same on a port, as the farm computer comes back after it was gone; phones may call it by
/// the address of a farm's network.
pub fn serve_at(data: &Path, port: u16) -> Served {
    serve_by(Command::new(PROGRAM), data, port)
}

/// The same where no file may grow beyond so many KiB, as on a disk that is nearly full.
pub fn serve_on_a_small_disk(data: &Path, kib: u32) -> Served {
    serve_by(on_a_small_disk(kib), data, 0)
}

/// A start that comes to nothing on a disk as small as that: what was said, once it has ended.
pub fn start_on_a_small_disk(data: &Path, kib: u32) -> Output {
    let mut child = serving(on_a_small_disk(kib), data, 0)
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("the built program");
    let printed = child.stdout.as_mut().expect("its output");
    let line = BufReader::new(printed).lines().map_while(Result::ok).next();
    if let Some(line) = line {
        child.kill().expect("a process to kill");
        panic!("{kib} KiB are enough: {line}");
    }
    child.wait_with_output().expect("its end")
}

fn on_a_small_disk(kib: u32) -> Command {
    let mut shell = Command::new("sh");
    // Beyond the limit the system refuses a write; the signal that goes with it is not wanted.
    let limited = format!("trap '' XFSZ; ulimit -S -f {}; exec \"$0\" \"$@\"", kib * 2);
    shell.arg("-c").arg(limited).arg(PROGRAM);
    shell
}

/// Starts to serve over a folder, and is killed as soon as `enough` of it has happened there.
pub fn cut_short(data: &Path, enough: impl Fn(&Path) -> bool) {
    let mut child = serving(Command::new(PROGRAM), data, 0)
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .spawn()
        .expect("the built program");
    while !enough(data) && child.try_wait().expect("its state").is_none() {
        std::thread::yield_now();
    }
    child.kill().expect("a process to kill");
    child.wait().expect("its end");
}

fn serving(mut program: Command, data: &Path, port: u16) -> Command {
    program
        .arg("serve")
        .arg("--data")
        .arg(data)
        .args(["--listen", &format!("127.0.0.1:{port}")])
        .args(["--known-as", FARM_ADDRESS, "--open-to-all"])
        .env_remove("ENDPOST_DATA")
        .stdin(Stdio::null());
    program
}

fn serve_by(program: Command, data: &Path, port: u16) -> Served {
    started(serving(program, data, port))
}

fn started(mut program: Command) -> Served {
    let mut complaints = tempfile::tempfile().expect("a file for what it complains of");
    let mut child = program
        .stdout(Stdio::piped())
        .stderr(complaints.try_clone().expect("the same file"))
        .spawn()
        .expect("the built program");
    let mut printed = BufReader::new(child.stdout.take().expect("its output"));
    let mut said = Vec::new();
    for line in (&mut printed).lines().map_while(Result::ok) {
        let last = line.starts_with("Stop with");
        said.push(line);
        if last {
            break;
        }
    }
    let address = said.iter().find_map(|line| address_in(line));
    let Some(address) = address else {
        // It may still run; without an address it is of no use.
        let _ = child.kill();
        panic!("it printed no address: {}", read_again(&mut complaints));
    };
    Served {
        child,
        said,
        _printed: printed,
        address,
    }
}

fn address_in(line: &str) -> Option<String> {
    let from = line.find("http://")?;
    let address = line[from..].split_whitespace().next()?;
    Some(address.trim_end_matches('/').to_owned())
}

fn read_again(file: &mut File) -> String {
    let mut said = String::new();
    file.rewind().expect("its beginning");
    file.read_to_string(&mut said).expect("readable complaints");
    said
}

impl Served {
    /// The port it listens on.
    pub fn port(&self) -> u16 {
        let port = self.address.rsplit(':').next().map(str::parse);
        port.and_then(Result::ok).expect("a port in its address")
    }

    pub fn url(&self, path: &str) -> String {
        format!("{}{path}", self.address)
    }

    /// Holds the process where it is, so that its files stand still while they are looked at.
    pub fn stand_still<T>(&self, look: impl FnOnce() -> T) -> T {
        self.signal("-STOP");
        while !self.stands() {
            std::thread::yield_now();
        }
        let seen = look();
        self.signal("-CONT");
        seen
    }

    /// Whether every thread of it has stopped, as the system tells; the signal alone only asks.
    fn stands(&self) -> bool {
        let Ok(threads) = std::fs::read_dir(format!("/proc/{}/task", self.child.id())) else {
            return true;
        };
        let state = |path: &Path| {
            let told = std::fs::read_to_string(path.join("stat")).ok()?;
            told.rsplit(") ").next()?.chars().next()
        };
        threads
            .flatten()
            .all(|thread| state(&thread.path()).is_none_or(|state| matches!(state, 'T' | 't')))
    }

    /// The small disk is made a large one while the program runs.
    pub fn gets_room(&self) {
        let number = self.child.id().to_string();
        let words = ["--pid", &number, "--fsize=unlimited"];
        let raised = Command::new("prlimit").args(words).status();
        assert!(raised.expect("prlimit").success(), "no room was made");
    }

    fn signal(&self, name: &str) {
        let number = self.child.id().to_string();
        let sent = Command::new("kill").arg(name).arg(number).status();
        assert!(sent.expect("a signal").success(), "{name} was not sent");
    }

    /// `kill -9`: nothing can be finished any more.
    pub fn kill_at_once(mut self) {
        self.child.kill().expect("a process to kill");
        self.child.wait().expect("its end");
    }
}

impl Drop for Served {
    fn drop(&mut self) {
        // Killed before, it only needs to be waited for.
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}
