//! A small reader of the pages' own markup: elements with their attributes.

/// An opening tag.
#[derive(Clone, Debug)]
pub(crate) struct Element {
    pub(crate) tag: String,
    pub(crate) attributes: Vec<(String, String)>,
    /// Tags it stands in, outermost first.
    pub(crate) inside: Vec<String>,
    /// Text up to the next tag.
    pub(crate) text: String,
}

impl Element {
    pub(crate) fn get(&self, name: &str) -> Option<&str> {
        let found = self.attributes.iter().find(|(n, _)| n == name);
        found.map(|(_, v)| v.as_str())
    }
}

const VOID: [&str; 5] = ["input", "link", "meta", "br", "img"];

/// Every element of a page, in order.
pub(crate) fn elements(page: &str) -> Vec<Element> {
    let mut found = Vec::new();
    let mut open: Vec<String> = Vec::new();
    let mut rest = page;
    while let Some(at) = rest.find('<') {
        let tag = &rest[at + 1..];
        let Some(end) = end_of_tag(tag) else { break };
        let (inside, after) = (&tag[..end], &tag[end + 1..]);
        rest = after;
        if let Some(name) = inside.strip_prefix('/') {
            assert_eq!(open.pop().as_deref(), Some(name), "crossed elements");
        } else if !inside.starts_with('!') {
            let mut element = read(inside.trim_end_matches('/'));
            element.inside.clone_from(&open);
            element.text = after.split('<').next().unwrap_or("").to_owned();
            if !VOID.contains(&element.tag.as_str()) && !inside.ends_with('/') {
                open.push(element.tag.clone());
            }
            found.push(element);
        }
    }
    assert!(open.is_empty(), "left open: {open:?}");
    found
}

/// Where a tag ends; a `>` inside quotes does not end it.
fn end_of_tag(tag: &str) -> Option<usize> {
    let mut is_quoted = false;
    tag.char_indices().find_map(|(at, sign)| match sign {
        '"' => {
            is_quoted = !is_quoted;
            None
        }
        '>' if !is_quoted => Some(at),
        _ => None,
    })
}

fn read(inside: &str) -> Element {
    let (tag, mut rest) = inside.split_once(' ').unwrap_or((inside, ""));
    let mut attributes = Vec::new();
    while !rest.trim().is_empty() {
        rest = rest.trim_start();
        let end = rest.find([' ', '=']).unwrap_or(rest.len());
        let name = rest[..end].to_owned();
        rest = &rest[end..];
        let value = match rest.strip_prefix("=\"") {
            Some(quoted) => {
                let (value, after) = quoted.split_once('"').expect("a value ends");
                rest = after;
                value.to_owned()
            }
            None => String::new(),
        };
        attributes.push((name, value));
    }
    Element {
        tag: tag.to_owned(),
        attributes,
        inside: Vec::new(),
        text: String::new(),
    }
}
