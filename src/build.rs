//! Builds again when a migration changes, since the program carries them. Nothing else.

fn main() {
    println!("cargo::rerun-if-changed=migrations");
}
