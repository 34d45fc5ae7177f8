//! [`Asset`]: a file of the page, built into the program.

/// A file of the page.
#[derive(Debug)]
pub(super) struct Asset {
    /// Where it is.
    pub(super) path: &'static str,
    /// What it is.
    pub(super) media_type: &'static str,
    /// It.
    pub(super) text: &'static str,
}

/// All files. None of them holds data of a sitting.
const ALL: [Asset; 4] = [
    Asset {
        path: "/",
        media_type: "text/html; charset=utf-8",
        text: include_str!("index.html"),
    },
    Asset {
        path: "/page.css",
        media_type: "text/css; charset=utf-8",
        text: include_str!("page.css"),
    },
    Asset {
        path: "/page.js",
        media_type: "text/javascript; charset=utf-8",
        text: include_str!("page.js"),
    },
    Asset {
        path: "/icon.svg",
        media_type: "image/svg+xml",
        text: include_str!("icon.svg"),
    },
];

impl Asset {
    /// The one at that path.
    pub(super) fn at(path: &str) -> Option<&'static Self> {
        ALL.iter().find(|asset| asset.path == path)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_page_names_no_file_that_is_not_built_in() {
        let page = Asset::at("/").unwrap().text;
        for attribute in ["src=\"", "href=\""] {
            for rest in page.split(attribute).skip(1) {
                let target = rest.split('"').next().unwrap();
                let inside = target.starts_with('#') || Asset::at(target).is_some();
                assert!(inside, "{target}");
            }
        }
    }

    #[test]
    fn data_never_becomes_markup_and_nothing_is_inline() {
        for asset in &ALL {
            // The name of a namespace is no address.
            let text = asset.text.replace("http://www.w3.org/2000/svg", "");
            for word in [
                "innerHTML",
                "outerHTML",
                "insertAdjacentHTML",
                "document.write",
                "eval(",
                "http://",
                "https://",
                "style=",
                " onclick=",
                "@import",
                "url(",
            ] {
                assert!(!text.contains(word), "{word} in {}", asset.path);
            }
        }
    }
}
