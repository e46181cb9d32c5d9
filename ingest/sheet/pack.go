package sheet

import (
	"archive/zip"
	"cmp"
	"context"
	"encoding/xml"
	"errors"
	"io"
	"path"
	"slices"
	"strings"

	"shortfall/ingest/casebook"
	"shortfall/ingest/rules"
)

// pack is the zip container of a workbook after the pre-flight check.
type pack struct {
	ctx    context.Context      // ends the reading of any part
	parts  map[string]*zip.File // by lower-case name without a leading slash
	order  []*zip.File
	limits Limits
}

// openPack checks the declared sizes and places before anything is unpacked.
func openPack(ctx context.Context, content io.ReaderAt, size int64, l Limits) (*pack, error) {
	zr, err := zip.NewReader(content, size)
	if err != nil {
		return nil, rules.New(rules.FileDamaged, "the zip container is cut off or malformed")
	}
	if len(zr.File) > l.Parts {
		return nil, rules.New(rules.FileTooLarge, "the container holds %d parts; the limit is %d", len(zr.File), l.Parts)
	}
	p := &pack{ctx: ctx, parts: map[string]*zip.File{}, limits: l}
	// What a small file may unfold to depends on its size, so that it cannot cost
	// what only a large one should.
	most := min(uint64(l.UnpackedBytes), uint64(l.UnpackedFloor)+uint64(l.Ratio)*uint64(size))
	total := uint64(0)
	for _, f := range zr.File {
		name := partName(f.Name)
		if _, twice := p.parts[name]; twice {
			return nil, rules.New(rules.FileDamaged, "the container holds a part twice")
		}
		p.parts[name] = f
		p.order = append(p.order, f)
		if media(name) {
			continue // never unpacked
		}
		if total += f.UncompressedSize64; total > most || f.UncompressedSize64 > most {
			return nil, rules.New(rules.FileTooLarge, "unpacked, the file exceeds %d MiB; one of its size may not", most>>20)
		}
	}
	return p, p.apart(size)
}

// media are parts that are never unpacked, whatever they hold.
func media(name string) bool {
	ext := path.Ext(name)
	return ext != ".xml" && ext != ".rels" && ext != ".vml"
}

// apart refuses parts that share bytes: each could then be unpacked again and
// again, out of one.
func (p *pack) apart(size int64) error {
	type span struct{ from, to int64 }
	spans := make([]span, 0, len(p.order))
	for _, f := range p.order {
		from, err := f.DataOffset()
		if err != nil || from > size || f.CompressedSize64 > uint64(size-from) {
			return rules.New(rules.FileDamaged, "a part of the container lies outside it")
		}
		spans = append(spans, span{from, from + int64(f.CompressedSize64)})
	}
	slices.SortFunc(spans, func(a, b span) int { return cmp.Compare(a.from, b.from) })
	for i := 1; i < len(spans); i++ {
		// Two empty parts may begin at one place; the header of a part lies between any others.
		if spans[i].from < spans[i-1].to || spans[i].from == spans[i-1].from {
			return rules.New(rules.FileDamaged, "two parts of the container share their bytes")
		}
	}
	return nil
}

func partName(s string) string {
	return strings.ToLower(strings.TrimPrefix(strings.ReplaceAll(s, `\`, "/"), "/"))
}

var errPartTooLarge = errors.New("a part is larger than it declares")

// open gives the bytes of a part, never more than it declares.
func (p *pack) open(name string) (io.ReadCloser, error) {
	f, ok := p.parts[partName(name)]
	if !ok {
		return nil, rules.New(rules.FileDamaged, "the container lacks the part %s", path.Base(name))
	}
	rc, err := f.Open()
	if err != nil {
		return nil, rules.New(rules.FileDamaged, "the part %s cannot be unpacked", path.Base(name))
	}
	part := struct {
		io.Reader
		io.Closer
	}{&capped{p.ctx, rc, int64(f.UncompressedSize64)}, rc}
	if f.UncompressedSize64 < aheadFrom {
		return part, nil
	}
	return newAhead(part), nil
}

// capped fails where a part gives more bytes than it declares, and where the
// time is up.
type capped struct {
	ctx  context.Context
	r    io.Reader
	left int64
}

func (c *capped) Read(b []byte) (int, error) {
	if err := c.ctx.Err(); err != nil {
		return 0, err
	}
	n, err := c.r.Read(b)
	if c.left -= int64(n); c.left < 0 {
		return 0, errPartTooLarge
	}
	return n, err
}

// walk reads a part token by token; see calls for each start element, and reads
// on with the tokens where it wants the content.
func (p *pack) walk(name string, see func(*tokens, xml.StartElement) error) error {
	rc, err := p.open(name)
	if err != nil {
		return err
	}
	defer rc.Close()
	t := newTokens(rc)
	for n := 0; ; n++ {
		tok, err := t.next()
		if err == io.EOF {
			return nil
		}
		if err == nil && n > p.limits.Tokens {
			err = rules.New(rules.FileTooLarge, "the part %s holds more than %d elements", path.Base(name), p.limits.Tokens)
		}
		if e, ok := tok.(xml.StartElement); ok && err == nil {
			err = see(t, e)
		}
		if err != nil {
			return partDamaged(err, name)
		}
	}
}

// partDamaged names the part where a sheet would be named otherwise.
func partDamaged(err error, name string) error {
	p, ok := errors.AsType[casebook.Problem](err)
	if !ok || p.Rule != string(rules.SheetDamaged) {
		return err
	}
	return rules.New(rules.FileDamaged, "the part %s is malformed", path.Base(name))
}
