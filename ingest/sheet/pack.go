package sheet

import (
	"archive/zip"
	"bytes"
	"context"
	"encoding/xml"
	"errors"
	"io"
	"path"
	"strings"

	"shortfall/ingest/rules"
)

// pack is the zip container of a workbook after the pre-flight check.
type pack struct {
	ctx    context.Context      // ends the reading of any part
	parts  map[string]*zip.File // by lower-case name without a leading slash
	order  []*zip.File
	limits Limits
}

// openPack checks the declared sizes before anything is unpacked.
func openPack(ctx context.Context, data []byte, l Limits) (*pack, error) {
	zr, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
	if err != nil {
		return nil, rules.New(rules.FileDamaged, "the zip container is cut off or malformed")
	}
	if len(zr.File) > l.Parts {
		return nil, rules.New(rules.FileTooLarge, "the container holds %d parts; the limit is %d", len(zr.File), l.Parts)
	}
	p := &pack{ctx: ctx, parts: map[string]*zip.File{}, limits: l}
	total := uint64(0)
	for _, f := range zr.File {
		name := partName(f.Name)
		if _, twice := p.parts[name]; twice {
			return nil, rules.New(rules.FileDamaged, "the container holds a part twice")
		}
		p.parts[name] = f
		p.order = append(p.order, f)
		total += f.UncompressedSize64
		if total > uint64(l.UnpackedBytes) || f.UncompressedSize64 > uint64(l.UnpackedBytes) {
			return nil, rules.New(rules.FileTooLarge, "unpacked, the file exceeds %d MiB", l.UnpackedBytes>>20)
		}
		if f.UncompressedSize64 > 1<<20 && f.UncompressedSize64 > uint64(l.Ratio)*max(f.CompressedSize64, 1) {
			return nil, rules.New(rules.FileTooLarge, "a part unpacks to more than %d times its size", l.Ratio)
		}
	}
	return p, nil
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
	return struct {
		io.Reader
		io.Closer
	}{&capped{p.ctx, rc, int64(f.UncompressedSize64)}, rc}, nil
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

// unmarshal reads a small part whole.
func (p *pack) unmarshal(name string, into any) error {
	rc, err := p.open(name)
	if err != nil {
		return err
	}
	defer rc.Close()
	if err := xml.NewDecoder(rc).Decode(into); p.ctx.Err() != nil {
		return p.ctx.Err()
	} else if err != nil {
		return rules.New(rules.FileDamaged, "the part %s is malformed", path.Base(name))
	}
	return nil
}

const emptySheet = `<worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><sheetData/></worksheet>`

// frame is a copy of the container in which every sheet is empty and the texts
// are left out, for the library that reads what stands around the sheets. It
// stays small whatever the file holds, so nothing is ever spilled to disk.
func (p *pack) frame(drop map[string]bool, blank map[string]bool) ([]byte, error) {
	var buf bytes.Buffer
	w := zip.NewWriter(&buf)
	for _, f := range p.order {
		name := partName(f.Name)
		switch {
		case drop[name], strings.HasPrefix(name, "xl/media/"), strings.HasPrefix(name, "xl/drawings/"),
			strings.HasPrefix(name, "xl/pivotcache/"), name == "xl/calcchain.xml":
			continue
		case blank[name]:
			part, err := w.Create(f.Name)
			if err != nil {
				return nil, err
			}
			if _, err := io.WriteString(part, emptySheet); err != nil {
				return nil, err
			}
		default:
			if err := w.Copy(f); err != nil {
				return nil, err
			}
		}
	}
	if err := w.Close(); err != nil {
		return nil, err
	}
	return buf.Bytes(), nil
}
