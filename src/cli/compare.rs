//! `hailyard compare`: the storm on several cards, side by side.

use super::Exit;
use super::arguments::CompareArgs;
use super::handouts::write_document;
use super::inputs::{Input, open};
use super::output::{Stop, Streams};
use super::problems::{counted, problem_text, say_cautions};
use crate::compare::{CardColumn, compare_cards};
use crate::intake::{CardInstead, Disk, read_card};
use crate::report::pages::comparison_page;
use crate::report::{
    ReportFolder, comparison_grid, comparison_text, grid_to_json, not_comparable_grid, to_csv,
};
use std::path::{Path, PathBuf};

/// How many problems are printed.
const SHOWN: usize = 1_000;

/// Runs the command.
pub fn run(args: &CompareArgs, streams: &mut Streams<'_>) -> Result<Exit, Stop> {
    let paths: Vec<PathBuf> = args.folder.clone().into_iter().collect();
    let input = Input::of(&paths)?;
    for card in &args.cards {
        if !card.is_file() {
            return Err(Stop::Usage(format!(
                "no such rate card: {}",
                card.display()
            )));
        }
    }
    let opened = open(&input, None, args.json, streams)?;
    let Some((mut storm, rates)) = opened.storm.filter(|_| opened.problems.errors() == 0) else {
        streams.say(&problem_text(&opened.problems, SHOWN, streams.bold));
        streams.say(&format!(
            "{}; nothing was compared\n",
            counted(&opened.problems)
        ));
        return Ok(Exit::Problems);
    };
    let mut columns = vec![CardColumn {
        name: "as agreed".to_owned(),
        rates: rates.clone(),
    }];
    for path in &args.cards {
        let folder = Disk::new(path.parent().unwrap_or(Path::new("")));
        let name = path
            .file_name()
            .map_or_else(String::new, |name| name.to_string_lossy().into_owned());
        let card = CardInstead {
            source: &folder,
            path: &name,
        };
        let (card, problems) = read_card(card, &mut storm);
        let Some(card) = card else {
            streams.say(&problem_text(&problems, SHOWN, streams.bold));
            streams.say(&format!("{}; nothing was compared\n", counted(&problems)));
            return Ok(Exit::Problems);
        };
        columns.push(CardColumn {
            name: card.name.clone(),
            rates: rates.on_card(card),
        });
    }
    let comparison = compare_cards(&storm, &columns);
    let currency = storm.currency;
    if let Some(out) = &args.out {
        let folder = ReportFolder::open(out, &input.paths())?;
        folder.write(
            "comparison.csv",
            &to_csv(&comparison_grid(&comparison), currency),
        )?;
        let left_out = not_comparable_grid(&comparison);
        folder.write("not-comparable.csv", &to_csv(&left_out, currency))?;
        let page = comparison_page(&comparison);
        write_document(&folder, "comparison", &page, args.paper, storm.date)?;
    }
    if args.json {
        streams.json(&serde_json::json!({
            "format": 1,
            "storm": storm.name,
            "currency": currency.code(),
            "cards": columns.iter().map(|column| &column.name).collect::<Vec<_>>(),
            "amounts": grid_to_json(&comparison_grid(&comparison), currency),
            "not_comparable": grid_to_json(&not_comparable_grid(&comparison), currency),
        }))?;
    } else {
        let text = comparison_text(&comparison, streams.table_width());
        streams.print(&text)?;
    }
    say_cautions(&opened.problems, streams);
    Ok(Exit::Done)
}
