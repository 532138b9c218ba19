//! The count workbook: one sheet per layout, with drop-downs, a frozen header
//! and a print set-up for the clipboard.

use crate::intake::LotCar;
use crate::storm::{Access, Body, Metal, Paint, Panel};
use rust_xlsxwriter::{
    DataValidation, DataValidationRule, DocProperties, ExcelDateTime, Format, FormatBorder,
    Formula, Workbook, Worksheet, XlsxError,
};

/// Rows below the header that carry drop-downs and lines for writing.
const ROWS: u32 = 1_000;
/// Rows below the header on a printed page.
const PRINTED_ROWS: u32 = 24;
/// Size classes of the coin card, which the kit's payers begin with.
const SIZES: [&str; 4] = ["dime", "nickel", "quarter", "half-dollar"];
const SIZE_LIST: &str = "=Words!$D$3:$D$6";
const PANEL_LIST: &str = "=Words!$A$3:$A$27";
const METAL_LIST: &str = "=Words!$B$3:$B$5";
const ACCESS_LIST: &str = "=Words!$C$3:$C$5";
const BODY_LIST: &str = "=Words!$E$3:$E$10";
const PAINT_LIST: &str = "=Words!$F$3:$F$5";

/// The panels of the car-rows sheet: those that hail meets on most cars. Any
/// other panel may be added as a column.
const CAR_PANELS: [&str; 17] = [
    "hood",
    "roof",
    "decklid",
    "liftgate",
    "tailgate",
    "fender-l",
    "fender-r",
    "rail-l",
    "rail-r",
    "door-fl",
    "door-rl",
    "door-fr",
    "door-rr",
    "quarter-l",
    "quarter-r",
    "bed-l",
    "bed-r",
];

/// What a column of a sheet holds.
struct Col {
    header: &'static str,
    width: f64,
    list: Option<&'static str>,
}

fn col(header: &'static str, width: f64) -> Col {
    Col {
        header,
        width,
        list: None,
    }
}

fn listed(header: &'static str, width: f64, list: &'static str) -> Col {
    Col {
        header,
        width,
        list: Some(list),
    }
}

/// The workbook's bytes.
///
/// # Errors
/// When the library fails.
pub fn count_workbook(name: &str, lot: &[LotCar]) -> Result<Vec<u8>, XlsxError> {
    let mut book = Workbook::new();
    // The bytes must not tell when they were made.
    let epoch = ExcelDateTime::from_ymd(2000, 1, 1)?;
    book.set_properties(&DocProperties::new().set_creation_datetime(&epoch));
    let mut panel_rows = vec![col("stock", 11.0), listed("panel", 12.0, PANEL_LIST)];
    panel_rows.extend(SIZES.map(|size| col(size, 10.0)));
    panel_rows.extend([
        listed("metal", 13.0, METAL_LIST),
        listed("access", 9.0, ACCESS_LIST),
        col("oversize", 14.0),
        col("remove", 20.0),
        col("conventional", 12.0),
        col("prior", 6.0),
        listed("paint", 11.0, PAINT_LIST),
        col("note", 24.0),
    ]);
    let dent_rows = vec![
        col("stock", 11.0),
        listed("panel", 12.0, PANEL_LIST),
        col("diameter", 10.0),
        col("count", 8.0),
        listed("metal", 13.0, METAL_LIST),
        listed("access", 9.0, ACCESS_LIST),
        col("remove", 20.0),
        col("note", 24.0),
    ];
    let total_rows = vec![
        col("stock", 11.0),
        listed("panel", 12.0, PANEL_LIST),
        col("dents", 8.0),
        listed("size", 12.0, SIZE_LIST),
        listed("metal", 13.0, METAL_LIST),
        listed("access", 9.0, ACCESS_LIST),
        col("oversize", 14.0),
        col("remove", 20.0),
        col("note", 24.0),
    ];
    let mut car_rows = vec![
        col("stock", 11.0),
        col("row", 6.0),
        listed("body", 9.0, BODY_LIST),
        col("payer", 18.0),
    ];
    car_rows.extend(CAR_PANELS.map(|panel| col(panel, 13.0)));
    car_rows.extend([col("remove", 20.0), col("note", 24.0)]);
    for (title, columns) in [
        ("Panel rows", &panel_rows),
        ("Dent rows", &dent_rows),
        ("Totals", &total_rows),
    ] {
        count_sheet(book.add_worksheet(), name, title, columns)?;
    }
    let cars = count_sheet(book.add_worksheet(), name, "Car rows", &car_rows)?;
    // A car's row is too wide to write on in one page's width.
    cars.set_print_fit_to_pages(2, 0);
    cars.set_repeat_columns(0, 0)?;
    let printed = u32::try_from(lot.len())
        .unwrap_or(u32::MAX)
        .max(PRINTED_ROWS);
    let last = u16::try_from(car_rows.len() - 1).unwrap_or(u16::MAX);
    cars.set_print_area(0, 0, printed.min(1_048_575), last)?;
    for (row, car) in (1..).zip(lot) {
        for (column, text) in (0..).zip([&car.stock, &car.row, &car.body, &car.payer]) {
            cars.write_string(row, column, text)?;
        }
    }
    words(book.add_worksheet())?;
    book.save_to_buffer()
}

/// One sheet with its header, drop-downs, frozen panes and print set-up.
fn count_sheet<'b>(
    sheet: &'b mut Worksheet,
    storm: &str,
    title: &str,
    columns: &[Col],
) -> Result<&'b mut Worksheet, XlsxError> {
    let head = Format::new()
        .set_bold()
        .set_text_wrap()
        .set_border_bottom(FormatBorder::Medium);
    // Stocks are text: 0007 keeps its zeros.
    let text = Format::new().set_num_format("@");
    sheet.set_name(title)?;
    let last = u16::try_from(columns.len() - 1).unwrap_or(u16::MAX);
    for (index, column) in (0..).zip(columns) {
        sheet.write_string_with_format(0, index, column.header, &head)?;
        sheet.set_column_width(index, column.width)?;
        if !SIZES.contains(&column.header) {
            sheet.set_column_format(index, &text)?;
        }
        if let Some(list) = column.list {
            let rule = DataValidation::new()
                .allow_list_formula(Formula::new(list))
                .set_error_title("not in the list")?
                .set_error_message(
                    "Take a word from the list, or one of the README's other words.",
                )?
                .set_error_style(rust_xlsxwriter::DataValidationErrorStyle::Warning);
            sheet.add_data_validation(1, index, ROWS, index, &rule)?;
        }
        let is_count =
            SIZES.contains(&column.header) || ["dents", "count", "prior"].contains(&column.header);
        if is_count {
            let rule = DataValidation::new()
                .allow_whole_number(DataValidationRule::Between(0, 9_999))
                .set_error_title("not a count")?
                .set_error_message("A whole number of dents, 0 to 9,999.")?;
            sheet.add_data_validation(1, index, ROWS, index, &rule)?;
        }
    }
    sheet.set_freeze_panes(1, 2)?;
    sheet.set_landscape();
    sheet.set_print_fit_to_pages(1, 0);
    sheet.set_repeat_rows(0, 0)?;
    sheet.set_print_gridlines(true);
    sheet.set_default_row_height(21);
    sheet.set_print_area(0, 0, PRINTED_ROWS, last)?;
    // `&` begins a code in a header, so one of a name is doubled.
    let storm = storm.replace('&', "&&");
    sheet.set_header(format!(
        "&L{storm}&C{title}&Rcounted by              on            "
    ));
    sheet.set_footer("&Rpage &P of &N");
    Ok(sheet)
}

/// The words behind the drop-downs. The sheet begins with a remark and has no
/// `stock` column, so it is never taken for a count.
fn words(sheet: &mut Worksheet) -> Result<(), XlsxError> {
    sheet.set_name("Words")?;
    let lists: [(&str, Vec<&str>); 6] = [
        ("panel", Panel::ALL.map(Panel::word).to_vec()),
        ("metal", Metal::ALL.map(Metal::word).to_vec()),
        ("access", Access::ALL.map(Access::word).to_vec()),
        ("size", SIZES.to_vec()),
        ("body", Body::ALL.map(Body::word).to_vec()),
        ("paint", Paint::ALL.map(Paint::word).to_vec()),
    ];
    let head = Format::new().set_bold();
    sheet.write_string(0, 0, "# the words behind the lists of the other sheets")?;
    for (column, (header, words)) in (0..).zip(lists) {
        sheet.write_string_with_format(1, column, header, &head)?;
        for (row, word) in (2..).zip(words) {
            sheet.write_string(row, column, word)?;
        }
        sheet.set_column_width(column, 14.0)?;
    }
    Ok(())
}
