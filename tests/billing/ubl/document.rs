//! A reader of XML that shares nothing with the writer but the library's events.

use quick_xml::Reader;
use quick_xml::events::{BytesStart, Event};
use rust_decimal::Decimal;

/// One element and all inside it.
#[derive(Debug, Default)]
pub struct Element {
    pub name: String,
    pub attributes: Vec<(String, String)>,
    pub text: String,
    pub children: Vec<Element>,
}

impl Element {
    /// The root of a document.
    pub fn read(bytes: &[u8]) -> Element {
        let text = std::str::from_utf8(bytes).expect("UTF-8");
        let mut reader = Reader::from_str(text);
        let mut open = vec![Element::default()];
        loop {
            match reader.read_event().expect("well-formed XML") {
                Event::Start(start) => open.push(Element::begun(&start)),
                Event::End(_) => {
                    let element = open.pop().expect("an open element");
                    let parent = open.last_mut().expect("a parent");
                    parent.children.push(element);
                }
                Event::Text(text) => open.last_mut().expect("an element").text.push_str(&text),
                Event::GeneralRef(name) => {
                    let c = match &*name {
                        "amp" => '&',
                        "lt" => '<',
                        "gt" => '>',
                        "apos" => '\'',
                        "quot" => '"',
                        other => panic!("an entity that nobody declared: {other}"),
                    };
                    open.last_mut().expect("an element").text.push(c);
                }
                Event::Decl(_) => {}
                Event::Eof => break,
                other => panic!("nothing else is written: {other:?}"),
            }
        }
        let mut above = open.pop().expect("what holds the root");
        assert!(open.is_empty());
        assert_eq!(above.children.len(), 1, "one root");
        above.children.pop().expect("a root")
    }

    fn begun(start: &BytesStart<'_>) -> Element {
        let attributes = start.attributes().map(|attribute| {
            let attribute = attribute.expect("an attribute");
            let key = attribute.key.as_ref().to_owned();
            (key, attribute.value.into_owned())
        });
        Element {
            name: start.name().as_ref().to_owned(),
            attributes: attributes.collect(),
            ..Element::default()
        }
    }

    /// All elements at a path.
    pub fn all(&self, path: &str) -> Vec<&Element> {
        path.split('/').fold(vec![self], |found, name| {
            let children = found.into_iter().flat_map(|element| &element.children);
            children.filter(|child| child.name == name).collect()
        })
    }

    /// The only text at a path, if there is one.
    pub fn maybe(&self, path: &str) -> Option<&str> {
        let found = self.all(path);
        assert!(found.len() <= 1, "{path} stands {} times", found.len());
        found.first().map(|element| element.text.as_str())
    }

    /// The only text at a path.
    #[track_caller]
    pub fn said(&self, path: &str) -> &str {
        self.maybe(path).unwrap_or_else(|| panic!("no {path}"))
    }

    /// The only number at a path.
    #[track_caller]
    pub fn number(&self, path: &str) -> Decimal {
        self.said(path).parse().expect("a number")
    }

    /// The only number at a path, or nothing.
    pub fn or_zero(&self, path: &str) -> Decimal {
        self.maybe(path)
            .map_or(Decimal::ZERO, |text| text.parse().expect("a number"))
    }

    /// The sum of all numbers at a path.
    pub fn sum(&self, path: &str) -> Decimal {
        let all = self.all(path).into_iter();
        all.map(|element| element.text.parse::<Decimal>().expect("a number"))
            .sum()
    }

    /// An attribute.
    pub fn attribute(&self, name: &str) -> Option<&str> {
        let found = self.attributes.iter().find(|(key, _)| key == name);
        found.map(|(_, value)| value.as_str())
    }

    /// Calls with this element and every one inside.
    pub fn each<'e>(&'e self, call: &mut impl FnMut(&'e Element)) {
        call(self);
        for child in &self.children {
            child.each(call);
        }
    }
}
