//! Rules of our own as scripts: each gives back a list of what is wrong on the open page.
//! Not here: axe's rules (`axe`).

/// Opens everything that is folded, so that it is looked at as well.
pub const UNFOLD: &str = "for (const one of document.querySelectorAll('details')) one.open = true;";

/// The page is no wider than the window; if it is, by which elements.
pub const SIDEWAYS: &str = "
    // Not innerWidth: a phone zooms out of a page that is too wide, and then it has grown.
    const window = document.documentElement.clientWidth;
    const wide = document.scrollingElement.scrollWidth;
    if (wide <= window) return [];
    const inside = one => one.closest('.scroll') && !one.matches('.scroll');
    const out = [...document.querySelectorAll('body *')]
        .filter(one => one.getBoundingClientRect().right > window + 0.5 && !inside(one));
    const named = out.slice(0, 3).map(one => one.outerHTML.slice(0, 90));
    return [`${wide} px in ${window} px: ${named.join(' | ')}`];
";

/// What the scripts below share.
pub fn with_helpers(script: &str) -> String {
    format!(
        "const seen = one => one.checkVisibility({{ visibilityProperty: true }})
             && one.getBoundingClientRect().width > 0 && !one.matches('.skip');
         const all = what => [...document.querySelectorAll(what)].filter(seen);
         const short = one => one.outerHTML.slice(0, 110);
         {script}"
    )
}

/// Rules by name.
pub const OF_ELEMENTS: [(&str, &str); 5] = [
    (
        "small text",
        "const own = one => [...one.childNodes].some(
             node => node.nodeType === 3 && node.data.trim());
         return all('body *')
             .filter(one => !one.closest('svg') && own(one))
             .filter(one => parseFloat(getComputedStyle(one).fontSize) < 18)
             .map(one => `${getComputedStyle(one).fontSize}: ${short(one)}`);",
    ),
    (
        "small target",
        "const boxes = 'input:not([type=hidden]), select, textarea, button, .button, a.offer, \
             summary, .places a, label.chip, label.tick';
         return all(boxes)
             .map(one => one.matches('input[type=radio], input[type=checkbox]')
                 ? one.closest('label') || one : one)
             .filter(one => one.getBoundingClientRect().height < 56)
             .map(one => `${one.getBoundingClientRect().height} px: ${short(one)}`);",
    ),
    (
        "label",
        "const named = one => [...one.labels].some(label => label.innerText.trim());
         const grouped = one => one.closest('fieldset')?.querySelector('legend')?.innerText.trim();
         return all('input:not([type=hidden]), select, textarea')
             .filter(one => !named(one) || (one.type === 'radio' && !grouped(one)))
             .map(short);",
    ),
    // WCAG 2.2, 2.4.11: what has the focus is not hidden by what the page lays over it.
    (
        "hidden focus",
        "const covered = one => {
             one.focus();
             const box = one.getBoundingClientRect();
             const top = document.elementFromPoint(
                 box.left + box.width / 2, box.top + box.height / 2);
             return top?.closest('.places');
         };
         return all('main a[href], main button, main input:not([type=hidden]), main summary')
             .filter(one => !one.closest('.places') && covered(one))
             .map(short);",
    ),
    (
        "heading",
        "const heads = all('h1, h2, h3, h4, h5, h6');
         const level = one => Number(one.tagName[1]);
         const skipped = heads.filter((one, at) => at > 0 && level(one) > level(heads[at - 1]) + 1);
         const firsts = heads.filter(one => level(one) === 1);
         return skipped.map(short).concat(
             firsts.length === 1 && heads[0] === firsts[0] ? [] : [`${firsts.length} first headings`]);",
    ),
];
