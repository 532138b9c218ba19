//! A plain storm's counts in the three layouts, its cars, its agreed amounts.

use super::plain::{Count, Lot, SIZES};
use super::ratio::Ratio;
use super::storms::SOME_PANELS;
use std::fmt::Write;

/// A file: its name and its text.
pub type Sheet = (String, String);

/// The counts in one sheet of panel rows, in lot order.
pub fn one_sheet(lot: &Lot) -> Vec<Sheet> {
    vec![("counts/lot.csv".to_owned(), panel_rows(lot, &rows(lot)))]
}

/// Every counted panel, by car.
pub fn rows(lot: &Lot) -> Vec<(usize, usize)> {
    let cars = lot.cars.iter().enumerate();
    cars.flat_map(|(car, of)| (0..of.panels.len()).map(move |panel| (car, panel)))
        .collect()
}

/// A row a panel; measured dents stand in `oversize`, whatever their size.
pub fn panel_rows(lot: &Lot, rows: &[(usize, usize)]) -> String {
    let mut text = format!(
        "stock,panel,{},metal,access,oversize,remove,conventional,prior\n",
        SIZES.join(",")
    );
    for &(car, panel) in rows {
        let (car, count) = (&lot.cars[car], &lot.cars[car].panels[panel]);
        let sizes = &lot.card_of(car).sizes;
        let cells = SIZES.map(|name| {
            let class = sizes.iter().position(|(known, _)| *known == name);
            class.map_or(String::new(), |class| count.sized[class].to_string())
        });
        let measured = count.measured.iter();
        let oversize: Vec<String> = measured
            .map(|(diameter, dents)| match dents {
                1 => length(*diameter),
                more => format!("{} x{more}", length(*diameter)),
            })
            .collect();
        let fields = [
            car.stock.as_str(),
            count.panel,
            &cells.join(","),
            count.metal,
            count.access,
            &oversize.join("; "),
            &count.remove.join(";"),
            if count.conventional { "yes" } else { "" },
            &count.prior.to_string(),
        ];
        text += &(fields.join(",") + "\n");
    }
    text
}

/// Millimetres bare, or inches where they come out even.
fn length(mm: Ratio) -> String {
    match (mm * Ratio::new(100, 127)).as_whole() {
        Some(twentieths) => format!("{} in", Ratio::new(twentieths, 20)),
        None => mm.to_string(),
    }
}

/// A row a dent of one diameter; classes can't be told there.
pub fn dent_rows(lot: &Lot, rows: &[(usize, usize)]) -> String {
    let header = "stock,panel,diameter_mm,count,metal,access,remove,conventional\n";
    let mut text = header.to_owned();
    for &(car, panel) in rows {
        let (car, count) = (&lot.cars[car], &lot.cars[car].panels[panel]);
        let referred = if count.conventional { "x" } else { "" };
        let removals = count.remove.join(";");
        let mut facts = [count.metal, count.access, &removals, referred].join(",");
        if count.measured.is_empty() {
            let _ = writeln!(text, "{},{},,0,{facts}", car.stock, count.panel);
        }
        for (diameter, dents) in &count.measured {
            // Said once, it holds for the panel.
            let facts = std::mem::replace(&mut facts, ",,,".to_owned());
            let (stock, panel) = (&car.stock, count.panel);
            let _ = writeln!(text, "{stock},{panel},{diameter},{dents},{facts}");
        }
    }
    text
}

/// A row a car, a column a panel.
pub fn car_rows(lot: &Lot, rows: &[(usize, usize)]) -> String {
    let panels = SOME_PANELS;
    let mut text = format!("stock,{}\n", panels.join(","));
    for (index, car) in lot.cars.iter().enumerate() {
        let cells = panels.map(|panel| {
            let mine =
                |(at, one): &&(usize, usize)| *at == index && car.panels[*one].panel == panel;
            let found = rows.iter().find(mine);
            found.map_or(String::new(), |(_, one)| {
                cell(lot, index, &car.panels[*one])
            })
        });
        if cells.iter().any(|cell| !cell.is_empty()) {
            let _ = writeln!(text, "{},{}", car.stock, cells.join(","));
        }
    }
    text
}

fn cell(lot: &Lot, car: usize, count: &Count) -> String {
    let sizes = &lot.card_of(&lot.cars[car]).sizes;
    let classes = sizes
        .iter()
        .zip(&count.sized)
        .filter(|(_, dents)| **dents > 0);
    let mut terms: Vec<String> = classes
        .map(|((name, _), dents)| format!("{dents} {name}"))
        .collect();
    for (diameter, dents) in &count.measured {
        terms.push(format!("{diameter} mm x{dents}"));
    }
    terms.extend([count.metal.to_owned(), count.access.to_owned()]);
    terms.extend(count.remove.iter().map(|code| format!("remove {code}")));
    terms.extend(count.conventional.then(|| "conventional".to_owned()));
    terms.join(" + ")
}

/// The vehicle list, in lot order.
pub fn vehicles(lot: &Lot) -> String {
    let mut text = "stock,body,payer,deductible,value\n".to_owned();
    for car in &lot.cars {
        let figure = |figure: Option<Ratio>| figure.map_or(String::new(), |own| own.to_string());
        let (own, value) = (figure(car.deductible), figure(car.value));
        let payer = lot.payers[car.payer].name;
        let _ = writeln!(text, "{},{},{payer},{own},{value}", car.stock, car.body);
    }
    text
}

/// What people agreed by hand.
pub fn agreed(lot: &Lot) -> String {
    let mut text = "stock,panel,group,item,amount,by\n".to_owned();
    for row in &lot.agreed {
        let stock = &lot.cars[row.car].stock;
        let (panel, group, item, amount) = (&row.panel, row.group, &row.item, row.amount);
        let _ = writeln!(text, "{stock},{panel},{group},{item},{amount},R. Holt");
    }
    text
}
