package page

import (
	"bytes"
	"html/template"
	"net/url"

	"shortfall/cmd/page/address"
	"shortfall/report/document"
	"shortfall/report/section"
	"shortfall/report/web"
)

// drawn is a document as a part of a page.
func drawn(doc *document.Document, enter web.Enter) (template.HTML, error) {
	var b bytes.Buffer
	err := web.Fragment(&b, doc, enter)
	return template.HTML(b.String()), err //nolint:gosec // web escapes every text
}

// whole is the full report, drawn when it is first asked for.
func (a *audited) whole(enter web.Enter) (template.HTML, error) {
	a.mu.Lock()
	defer a.mu.Unlock()
	if a.full != "" {
		return a.full, nil
	}
	doc, err := section.Document(a.res, section.Everything)
	if err != nil {
		return "", err
	}
	a.full, err = drawn(doc, enter)
	return a.full, err
}

// enter says where the data of figures lead: to the movements and cases behind them.
func (p *practice) enter(a *audited, keep url.Values) web.Enter {
	if a.trail == nil {
		return nil
	}
	base := p.path() + "/audit/"
	return func(figure, datum string) string {
		what, q := address.Behind(a.res, figure, datum)
		switch {
		case what == "", what == "flow" && !a.lists(p).InFlow(q):
			return ""
		case what == "rows":
			return p.path() + "/records"
		}
		// any order: each has its own name
		for name := range keep {
			q.Set(name, keep.Get(name))
		}
		return base + what + "?" + q.Encode()
	}
}
