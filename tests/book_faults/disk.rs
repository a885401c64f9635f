//! A disk that is full, and one that may not be written to.

use std::process::Command;

use super::shop::{Shop, program, said};

/// Every file may grow to so many blocks and no further, as on a full disk.
fn with_room(shop: &Shop, blocks: u64, args: &str) -> std::process::Output {
    let script = format!("trap '' XFSZ; ulimit -f {blocks}; exec \"$0\" {args}");
    Command::new("sh")
        .args(["-c", &script])
        .arg(program())
        .current_dir(shop.dir.path())
        .output()
        .unwrap()
}

#[test]
fn on_a_full_disk_nothing_is_half_written() {
    let shop = Shop::new(2, 2);
    let args = "receive shop.book --moulding ASH --length 2200 --count 300";
    let (mut failed, mut done) = (0, 0);
    let (mut sticks, mut steps) = shop.state();
    for blocks in [1, 8, 40, 80, 120, 160, 200, 240, 280, 320, 400, 800, 4000] {
        let output = with_room(&shop, blocks, args);
        let now = shop.state();
        if output.status.success() {
            assert_eq!(now, (sticks + 300, steps + 1));
            done += 1;
        } else {
            assert_eq!(output.status.code(), Some(1), "{}", said(&output));
            assert!(said(&output).contains("nothing was changed"), "{}", said(&output));
            assert_eq!(now, (sticks, steps), "{blocks} blocks");
            failed += 1;
        }
        (sticks, steps) = now;
    }
    assert!(failed > 0 && done > 0, "{failed} failed, {done} done");
}

#[test]
fn a_book_that_cannot_be_begun_leaves_no_file() {
    let shop = Shop::new(2, 2);
    let output = with_room(&shop, 16, "open other.book --from folder");
    assert_eq!(output.status.code(), Some(1), "{}", said(&output));
    for name in ["other.book", "other.book-wal", "other.book-shm"] {
        assert!(!shop.dir.path().join(name).exists(), "{name}");
    }
}

/// As somebody who may read the book and not write it.
#[cfg(unix)]
#[test]
fn a_book_that_may_not_be_written_says_so() {
    use std::os::unix::fs::PermissionsExt;
    use std::os::unix::process::CommandExt;
    let shop = Shop::new(2, 2);
    let before = shop.state();
    // Nobody's: if the tests are run as root, permissions alone stop nothing.
    let is_root = std::fs::metadata("/proc/self")
        .is_ok_and(|own| std::os::unix::fs::MetadataExt::uid(&own) == 0);
    let copy = shop.dir.path().join("longpoint");
    std::fs::copy(program(), &copy).unwrap();
    std::fs::set_permissions(&copy, std::fs::Permissions::from_mode(0o755)).unwrap();
    let set = |mode| {
        std::fs::set_permissions(shop.dir.path(), std::fs::Permissions::from_mode(mode)).unwrap();
    };
    std::fs::set_permissions(shop.path(), std::fs::Permissions::from_mode(0o444)).unwrap();
    set(0o555);
    let mut command = Command::new(&copy);
    command.current_dir(shop.dir.path()).args(["scrap", "shop.book", "S-1"]);
    if is_root {
        command.uid(65_534).gid(65_534);
    }
    let output = command.output().unwrap();
    // It can be read all the same.
    let mut read = Command::new(&copy);
    read.current_dir(shop.dir.path()).args(["rack", "shop.book"]);
    if is_root {
        read.uid(65_534).gid(65_534);
    }
    let listed = read.output().unwrap();
    set(0o755);
    assert!(listed.status.success(), "{}", said(&listed));
    assert!(said(&listed).contains("2 sticks and offcuts"), "{}", said(&listed));
    assert_eq!(output.status.code(), Some(1), "{}", said(&output));
    assert!(said(&output).contains("may not be written to"), "{}", said(&output));
    std::fs::set_permissions(shop.path(), std::fs::Permissions::from_mode(0o644)).unwrap();
    assert_eq!(shop.state(), before);
}
