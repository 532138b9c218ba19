//! The README is run, so that it cannot go stale: its files make a folder, its
//! commands give what it prints, its tables are the code's.

use crate::builder::{Folder, Tables};
use hailyard::storm::words;
use std::process::{Command, Stdio};

fn readme() -> String {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/README.md");
    std::fs::read_to_string(path).expect("the README")
}

/// A fenced block: the mark before it, its language, the path after that, its text.
struct Block {
    mark: String,
    language: String,
    path: String,
    text: String,
}

/// All fenced blocks; a mark `<!-- … -->` holds until the next one.
fn blocks(readme: &str) -> Vec<Block> {
    let mut blocks = Vec::new();
    let mut mark = String::new();
    let mut lines = readme.lines();
    while let Some(line) = lines.next() {
        if let Some(said) = line.strip_prefix("<!-- ") {
            mark = said.trim_end_matches("-->").trim().to_owned();
        } else if let Some(info) = line.strip_prefix("```") {
            let (language, path) = info.split_once(' ').unwrap_or((info, ""));
            let text: Vec<&str> = lines.by_ref().take_while(|line| *line != "```").collect();
            blocks.push(Block {
                mark: mark.clone(),
                language: language.to_owned(),
                path: path.to_owned(),
                text: text.join("\n") + "\n",
            });
        }
    }
    blocks
}

/// Runs every `$ hailyard …` of a console block in a folder and compares the
/// whole output.
#[track_caller]
fn run_console(block: &Block, folder: &Folder) {
    let mut runs = 0;
    for part in block.text.split("$ hailyard ").skip(1) {
        let (arguments, expected) = part.split_once('\n').expect("a command and its output");
        let ran = Command::new(env!("CARGO_BIN_EXE_hailyard"))
            .args(arguments.split_whitespace())
            .current_dir(folder.path())
            .env("COLUMNS", "100")
            .stdin(Stdio::null())
            .output()
            .expect("the program runs");
        let said = String::from_utf8_lossy(&ran.stdout) + String::from_utf8_lossy(&ran.stderr);
        assert_eq!(said, expected, "hailyard {arguments}");
        runs += 1;
    }
    assert!(runs > 0, "a console block without a command");
}

#[test]
fn the_screen_of_the_demo_is_real() {
    let folder = Folder::new();
    let mut seen = 0;
    for block in blocks(&readme()) {
        if block.language == "console" && block.mark == "run: demo" {
            run_console(&block, &folder);
            seen += 1;
        }
    }
    assert_eq!(seen, 1);
}

#[test]
fn the_first_storm_runs_as_printed() {
    let mut folder = Folder::new();
    let mut seen = 0;
    for block in blocks(&readme()) {
        if block.mark != "folder: first-storm" {
            continue;
        }
        if block.language == "console" {
            run_console(&block, &folder);
            seen += 1;
        } else if !block.path.is_empty() {
            folder = folder.file(&block.path, &block.text);
        }
    }
    assert_eq!(seen, 4);
}

#[test]
fn the_three_layouts_give_the_same_price() {
    let storm = "name = \"Layouts\"\ncurrency = \"USD\"\n[[payer]]\nname = \"Harl Cover\"\nrate_card = \"rates/card.toml\"\n";
    let card = include_str!("../data/cards/coins.toml");
    let mut lines: Vec<(String, Vec<String>)> = Vec::new();
    for block in blocks(&readme()) {
        if !block.mark.starts_with("layout: ") {
            continue;
        }
        let folder = Folder::new()
            .file("storm.toml", storm)
            .file("rates/card.toml", card)
            .file(&block.path, &block.text);
        let tables = Tables::of(folder.path());
        lines.push((block.mark.clone(), tables.lines("7")));
    }
    assert_eq!(lines.len(), 3);
    for (mark, found) in &lines {
        assert_eq!(found, &lines[0].1, "{mark}");
    }
    // 5 + 12 = 17 dents, mostly nickel, 10-19: 88.00; 3 x 38.00 = 114.00;
    // aluminium 25 % x (88.00 + 114.00) = 50.50
    assert_eq!(
        lines[0].1[..3],
        [
            "hood|dents|dents nickel|17|88.00",
            "hood|dents|oversize to 45 mm|3|114.00",
            "hood|dents|uplift aluminium||50.50",
        ]
    );
}

#[test]
fn the_table_of_other_words_is_the_codes() {
    let readme = readme();
    let after = readme.split("<!-- words -->").nth(1).expect("the mark");
    let table: Vec<&str> = after
        .lines()
        .skip_while(|line| line.is_empty())
        .take_while(|line| line.starts_with('|'))
        .collect();
    let mut expected = vec!["| word | also written |".to_owned(), "|---|---|".to_owned()];
    for (word, others) in words::table() {
        expected.push(format!("| {word} | {others} |"));
    }
    assert_eq!(table, expected);
}

/// Every command of the program that its help names stands in the README's table.
#[test]
fn every_command_is_in_the_readme() {
    use clap::CommandFactory;
    let readme = readme();
    let command = hailyard::cli::Args::command();
    for sub in command.get_subcommands() {
        let name = sub.get_name();
        assert!(
            name == "help" || sub.is_hide_set() || readme.contains(&format!("| `hailyard {name}")),
            "{name}"
        );
    }
}
