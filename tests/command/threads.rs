//! The result of a search is the same at any number of threads.

use std::path::Path;
use std::process::Command;

#[test]
fn no_byte_depends_on_the_number_of_threads() {
    let plan = fixtures::floorplan("foil-garage");
    let run = |folder: &Path, threads: &str| {
        let options = ["place", &plan, "--format", "json", "--cell", "0.3", "--out", "out"];
        let output = Command::new(env!("CARGO_BIN_EXE_drillonce"))
            .current_dir(folder)
            .args(options)
            .env("RAYON_NUM_THREADS", threads)
            .output()
            .unwrap();
        assert_eq!(output.status.code(), Some(1));
        let mut files: Vec<_> = std::fs::read_dir(folder.join("out"))
            .unwrap()
            .map(|entry| entry.unwrap().path())
            .map(|path| (path.file_name().unwrap().to_owned(), std::fs::read(&path).unwrap()))
            .collect();
        files.sort();
        (output.stdout, files)
    };
    let folders = [tempfile::tempdir().unwrap(), tempfile::tempdir().unwrap()];
    let one = run(folders[0].path(), "1");
    assert_eq!(one.1.len(), 4);
    let three = run(folders[1].path(), "3");
    assert!(one == three);
}
