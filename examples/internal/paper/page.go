package paper

import (
	_ "embed"
	"encoding/base64"
	"fmt"
	"html"
	"regexp"
	"strings"

	"example.com/steelyard/examples/internal/visible"
)

//go:embed page.css
var style string

// Size is the size of the paper.
type Size string

// The sizes.
const (
	A4     Size = "A4"
	Letter Size = "letter"
)

// An htmlWriter writes the body of a page.
type htmlWriter struct{ b strings.Builder }

func (h *htmlWriter) put(s string) { h.b.WriteString(s) }

// unit is a number before its unit; no line breaks between them.
var unit = regexp.MustCompile(`(\d) (kg|lb|%|mm|m|in|ft|L|US gal|imp gal|kPa|psi|km/h|mph|°C|°F)(\W|$)`)

// attr is text as the value of an attribute or of the page's title, which hold no element.
func attr(s string) string {
	return html.EscapeString(unit.ReplaceAllString(visible.Text(s), "$1\u00a0$2$3"))
}

// esc is text as the content of an element. What is written from right to left stands isolated.
func esc(s string) string {
	var b strings.Builder
	for _, p := range pieces(s) {
		text := strings.ReplaceAll(attr(breakable(p.text)), string(mayBreak), "<wbr>")
		if p.own {
			text = "<bdi>" + text + "</bdi>"
		}
		b.WriteString(text)
	}
	return b.String()
}

// wrap puts an element of a class around text.
func (h *htmlWriter) wrap(element, class, text string) {
	if text == "" {
		return
	}
	if class != "" {
		class = ` class="` + class + `"`
	}
	h.put("<" + element + class + ">" + esc(text) + "</" + element + ">\n")
}

// Page returns the sheet as one HTML page for a size of paper, in a language.
func (s *Sheet) Page(language string, size Size, head *Papers) string {
	var h htmlWriter
	h.put("<!DOCTYPE html>\n<html lang=\"" + html.EscapeString(language) + "\">\n<head>\n<meta charset=\"utf-8\">\n" +
		"<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n<title>" + attr(bare(s.Title)) + "</title>\n<style>\n" +
		style + fmt.Sprintf("@page { size: %s; margin: 8mm 13mm 11mm; @bottom-right { content: counter(page) \" / \" counter(pages); font: 10pt sans-serif; } }\n", size) + "</style>\n</head>\n")
	if s.Large {
		h.put("<body class=\"large\">\n")
	} else {
		h.put("<body>\n")
	}
	head.html(&h)
	h.put("<main>\n")
	h.wrap("h1", "", s.Title)
	for _, b := range s.Blocks {
		b.html(&h)
	}
	h.put("</main>\n</body>\n</html>\n")
	return h.b.String()
}

// html writes the header of the shop.
func (p *Papers) html(h *htmlWriter) {
	if p == nil || p.Shop.Name == "" {
		return
	}
	h.put("<header>\n")
	if p.logo != nil {
		h.put(`<img alt="" src="data:` + p.logoType + ";base64," + base64.StdEncoding.EncodeToString(p.logo) + "\">\n")
	}
	h.put("<div>")
	h.wrap("b", "", p.Shop.Name)
	for _, l := range p.Shop.Lines {
		h.put("<br>")
		h.put(esc(l))
	}
	h.put("</div>\n</header>\n")
}

func (x Heading) html(h *htmlWriter) { h.wrap(fmt.Sprintf("h%d", x.Level), "", x.Text) }

func (x Paragraph) html(h *htmlWriter) { h.wrap("p", "", x.Text) }

func (x Box) html(h *htmlWriter) {
	h.put("<div class=\"box\">\n")
	h.wrap("b", "", x.Title)
	for _, l := range x.Lines {
		h.wrap("p", "", l)
	}
	h.put("</div>\n")
}

var signClass = [...]string{Open: "open", NotYet: "notyet", No: "no", None: "none"}

func (x Answer) html(h *htmlWriter) {
	h.put(`<div class="answer ` + signClass[x.Sign] + "\">\n")
	h.wrap("p", "mark", x.Mark)
	h.put("<div>\n")
	h.wrap("p", "about", x.About)
	h.wrap("p", "word", x.Word)
	for _, l := range x.Lines {
		h.wrap("p", "", l)
	}
	h.put("</div></div>\n")
}

func (x List) html(h *htmlWriter) {
	if x.Short {
		h.put("<ul class=\"short\">\n")
	} else {
		h.put("<ul>\n")
	}
	for _, p := range x.Points {
		h.wrap("li", "", p)
	}
	h.put("</ul>\n")
}

func (x Steps) html(h *htmlWriter) {
	h.put("<ol>\n")
	for _, p := range x.Points {
		h.wrap("li", "", p)
	}
	h.put("</ol>\n")
}

func (x Label) html(h *htmlWriter) {
	h.put("<div class=\"label\">\n")
	h.wrap("b", "", x.Title)
	for _, l := range x.Lines {
		h.wrap("p", "", l)
	}
	h.put("</div>\n")
}

// A cell of a table carries the name of its column, which a phone shows in front of it.
func (x Table) html(h *htmlWriter) {
	h.put("<table>\n<thead><tr>")
	class := func(i int) string {
		if i < len(x.Numbers) && x.Numbers[i] {
			return "n"
		}
		return ""
	}
	for i, c := range x.Head {
		h.put(`<th scope="col" class="` + class(i) + `">` + esc(c) + "</th>")
	}
	h.put("</tr></thead>\n<tbody>\n")
	for _, r := range x.Rows {
		h.put("<tr>")
		for i, c := range r {
			if i == 0 {
				h.put(`<th scope="row">` + esc(c) + "</th>")
				continue
			}
			h.put(`<td class="` + class(i) + `" data-name="` + attr(bare(x.Head[i])) + `">` + esc(c) + "</td>")
		}
		h.put("</tr>\n")
	}
	h.put("</tbody></table>\n")
}

func (x Figure) html(h *htmlWriter) {
	if x.Beside {
		h.put("<figure class=\"beside\">\n<figcaption>")
	} else {
		h.put("<figure>\n<figcaption>")
	}
	h.wrap("b", "", x.Title)
	h.put("</figcaption>\n" + bare(x.SVG))
	h.put("<div>\n")
	for _, l := range x.Lines {
		h.wrap("p", "", l)
	}
	h.put("</div></figure>\n")
}

func (x Figures) html(h *htmlWriter) {
	h.put("<div class=\"figures\">\n")
	for _, f := range x.List {
		f.html(h)
	}
	h.put("</div>\n")
}

func (x Fields) html(h *htmlWriter) {
	h.put("<dl>\n")
	for _, f := range x.List {
		value := esc(f[1])
		if value == "" {
			value = `<span class="blank"></span>`
		}
		h.put("<div><dt>" + esc(f[0]) + "</dt><dd>" + value + "</dd></div>\n")
	}
	h.put("</dl>\n")
}

func (x Signatures) html(h *htmlWriter) {
	h.put("<div class=\"sign\">\n")
	for _, f := range x.For {
		h.put("<div><span></span>" + esc(f) + "</div>\n")
	}
	h.put("</div>\n")
}

func (x Together) html(h *htmlWriter) {
	h.put("<div class=\"together\">\n")
	for _, b := range x.List {
		b.html(h)
	}
	h.put("</div>\n")
}

func (Break) html(h *htmlWriter) { h.put("<div class=\"break\"></div>\n") }
