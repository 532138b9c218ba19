//! What bytes are, by their first ones; endings of names tell nothing.

/// What bytes are.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// ISO/IEC 10918-1.
    Jpeg,
    /// ISO/IEC 15948.
    Png,
    /// Something else, in words.
    Other(&'static str),
}

/// Formats that begin with fixed bytes, each as its own specification has it.
const BEGINNINGS: [(&[u8], Kind); 14] = [
    (b"\xff\xd8\xff", Kind::Jpeg),
    (b"\x89PNG\r\n\x1a\n", Kind::Png),
    (b"GIF87a", Kind::Other("a GIF picture")),
    (b"GIF89a", Kind::Other("a GIF picture")),
    // Raw files of many cameras are TIFF inside.
    (b"II*\0", Kind::Other("a TIFF or raw picture")),
    (b"MM\0*", Kind::Other("a TIFF or raw picture")),
    (b"BM", Kind::Other("a BMP picture")),
    (b"%PDF-", Kind::Other("a PDF document")),
    (b"PK\x03\x04", Kind::Other("a zip archive")),
    (b"PK\x05\x06", Kind::Other("an empty zip archive")),
    (b"\xff\x0a", Kind::Other("a JPEG XL picture")),
    (
        b"\0\0\0\x0cJXL \r\n\x87\n",
        Kind::Other("a JPEG XL picture"),
    ),
    (
        b"\0\0\0\x0cjP  \r\n\x87\n",
        Kind::Other("a JPEG 2000 picture"),
    ),
    (b"<svg", Kind::Other("an SVG drawing")),
];

/// What these bytes are.
pub fn of(bytes: &[u8]) -> Kind {
    if bytes.is_empty() {
        return Kind::Other("an empty file");
    }
    if let Some((_, kind)) = BEGINNINGS
        .iter()
        .find(|(beginning, _)| bytes.starts_with(beginning))
    {
        return *kind;
    }
    match (bytes.get(..4), bytes.get(4..8), bytes.get(8..12)) {
        (Some(b"RIFF"), _, Some(b"WEBP")) => Kind::Other("a WebP picture"),
        // ISO/IEC 14496-12: a box `ftyp` first, then the brand.
        (_, Some(b"ftyp"), Some(brand)) => Kind::Other(match brand {
            b"avif" | b"avis" => "an AVIF picture",
            b"heic" | b"heix" | b"heim" | b"heis" | b"hevc" | b"hevx" | b"mif1" | b"msf1" => {
                "a HEIC picture"
            }
            _ => "a film or sound",
        }),
        _ => Kind::Other("no picture"),
    }
}
