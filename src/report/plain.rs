//! Documents as text, no wider than a window.

use super::document::{Block, Cell, Document, Table};
use super::terminal::{TextTable, Width};

/// A document as text. Pictures are left to those who can show them.
#[must_use]
pub fn document_text(document: &Document, width: Width) -> String {
    let mut text = String::new();
    let line = |text: &mut String, said: &str| wrap_into(text, said, width, "  ");
    line(&mut text, &document.title);
    if !document.number.is_empty() {
        line(&mut text, &format!("sheet {}", document.number));
    }
    if !document.sender.is_empty() {
        line(&mut text, &format!("from {}", document.sender.join(", ")));
    }
    let mut after_text = true;
    let worded = |block: &&Block| {
        !matches!(
            block,
            Block::Picture(_) | Block::Photos(_) | Block::Signatures(_)
        )
    };
    for block in document.blocks.iter().filter(worded) {
        let is_text = !matches!(block, Block::Table(_));
        if !(is_text && after_text) || matches!(block, Block::Heading(_)) {
            text.push('\n');
        }
        match block {
            Block::Heading(said) | Block::Text(said) => line(&mut text, said),
            Block::Facts(facts) => {
                let facts: Vec<String> = facts
                    .iter()
                    .map(|(label, value)| format!("{label} {value}"))
                    .collect();
                line(&mut text, &facts.join(", "));
            }
            Block::Listed { lead, items } => {
                let items: Vec<&str> = items.iter().map(|item| item.text.as_str()).collect();
                line(&mut text, &format!("{lead}: {}", items.join(", ")));
            }
            Block::Table(table) => table_into(&mut text, table, width),
            Block::Caution { about, text: said } => {
                line(&mut text, &format!("caution, {about}: {said}"));
            }
            Block::Picture(_) | Block::Photos(_) | Block::Signatures(_) => {
                // Left to those who can show them.
            }
        }
        after_text = is_text;
    }
    text
}

fn table_into(text: &mut String, table: &Table, width: Width) {
    let mut shown = TextTable::new();
    for column in &table.columns {
        shown = if column.figures {
            shown.figures(&column.head, column.rank)
        } else {
            shown.words(&column.head, column.rank)
        };
    }
    let words = |row: &Vec<Cell>| row.iter().map(|cell| cell.text.clone()).collect();
    for row in table.rows.iter().chain(&table.foot) {
        shown.row(words(row));
    }
    wrap_into(text, &table.caption, width, "  ");
    text.push_str(&shown.render(width));
}

/// Adds a line of prose, broken between words within the width; lines after
/// the first are indented.
pub fn wrap_into(text: &mut String, line: &str, width: Width, indent: &str) {
    let line = crate::intake::printable_long(line);
    let first_indent: String = line.chars().take_while(|c| *c == ' ').collect();
    let mut column = 0;
    for word in line.split_whitespace() {
        let length = word.chars().count();
        if column == 0 {
            text.push_str(&first_indent);
            column = first_indent.len();
        } else if column + 1 + length > width.0 {
            text.push('\n');
            text.push_str(indent);
            column = indent.len();
        } else {
            text.push(' ');
            column += 1;
        }
        text.push_str(word);
        column += length;
    }
    text.push('\n');
}
