//! Elements of an XML document, written one after the other.

use crate::money::{Currency, Money};
use quick_xml::Writer;
use quick_xml::events::{BytesDecl, BytesEnd, BytesStart, BytesText, Event};

/// A document in the making.
pub(super) struct Xml {
    writer: Writer<Vec<u8>>,
    currency: Currency,
}

impl Xml {
    pub fn new(currency: Currency) -> Xml {
        let mut xml = Xml {
            writer: Writer::new_with_indent(Vec::new(), b' ', 2),
            currency,
        };
        xml.put(Event::Decl(BytesDecl::new("1.0", Some("UTF-8"), None)));
        xml
    }

    /// An element with others inside.
    pub fn within(&mut self, name: &str, inside: impl FnOnce(&mut Xml)) {
        self.with_attributes(name, &[], inside);
    }

    /// An element with attributes and others inside.
    pub fn with_attributes(
        &mut self,
        name: &str,
        attributes: &[(&str, &str)],
        inside: impl FnOnce(&mut Xml),
    ) {
        let start = BytesStart::new(name).with_attributes(attributes.iter().copied());
        self.put(Event::Start(start));
        inside(self);
        self.put(Event::End(BytesEnd::new(name)));
    }

    /// An element with a text; none where there is nothing to say.
    pub fn text(&mut self, name: &str, text: &str) {
        let text = sound_text(text);
        if !text.is_empty() {
            self.within(name, |xml| xml.put(Event::Text(BytesText::new(&text))));
        }
    }

    /// An amount with its currency.
    pub fn amount(&mut self, name: &str, amount: Money) {
        let currency = self.currency;
        let text = currency.text(amount);
        self.with_attributes(name, &[("currencyID", currency.code())], |xml| {
            xml.put(Event::Text(BytesText::new(&text)));
        });
    }

    /// A quantity in pieces (UN/ECE Recommendation 20).
    pub fn pieces(&mut self, name: &str, count: &str) {
        self.with_attributes(name, &[("unitCode", "C62")], |xml| {
            xml.put(Event::Text(BytesText::new(count)));
        });
    }

    pub fn finish(self) -> Vec<u8> {
        let mut bytes = self.writer.into_inner();
        bytes.push(b'\n');
        bytes
    }

    fn put(&mut self, event: Event<'_>) {
        let written = self.writer.write_event(event);
        written.expect("bug: memory takes whatever is written");
    }
}

/// A text on one line, with nothing that XML 1.0 forbids (2.2, production 2).
pub(super) fn sound_text(text: &str) -> String {
    let sound: String = text
        .chars()
        .map(|c| match c {
            '\t' | '\n' | '\r' => ' ',
            '\u{0}'..'\u{20}' | '\u{fffe}' | '\u{ffff}' => '\u{fffd}',
            c => c,
        })
        .collect();
    sound.trim().to_owned()
}
