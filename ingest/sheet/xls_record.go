package sheet

import (
	"encoding/binary"
	"math"
	"slices"
	"unicode/utf16"
)

// Records of the old binary workbook (BIFF8) that hold sheets and cells; numbers
// and layouts as in the open specification [MS-XLS], section 2.4. The container
// ([MS-CFB]) is read by a library.
const (
	xlsFormula     = 0x0006
	xlsEOF         = 0x000A
	xlsDate1904    = 0x0022
	xlsFilePass    = 0x002F
	xlsContinue    = 0x003C
	xlsColInfo     = 0x007D
	xlsBoundSheet  = 0x0085
	xlsMulRK       = 0x00BD
	xlsXF          = 0x00E0
	xlsMergedCells = 0x00E5
	xlsSST         = 0x00FC
	xlsLabelSST    = 0x00FD
	xlsNumber      = 0x0203
	xlsLabel       = 0x0204
	xlsBoolErr     = 0x0205
	xlsString      = 0x0207
	xlsRow         = 0x0208
	xlsRK          = 0x027E
	xlsFormat      = 0x041E
	xlsNote        = 0x001C
	xlsName        = 0x0018
	xlsPrinter     = 0x004D
	xlsFilter      = 0x009E
	xlsPivot       = 0x00B0
	xlsPictures    = 0x00EB
	xlsObject      = 0x005D
	xlsOtherBook   = 0x01AE
	xlsCondition   = 0x01B1
	xlsTextBox     = 0x01B6
	xlsLink        = 0x01B8
	xlsCheck       = 0x01BE
	xlsBOF         = 0x0809
	xlsHeader      = 0x0014
	xlsFooter      = 0x0015
	xlsWriteAccess = 0x005C
)

// biff is one record: its data, and where the data of continuing records begin.
type biff struct {
	kind  uint16
	data  []byte
	seams []int
}

// record reads the record at a place and the place after it, joined with the
// records that continue it.
func (in *xlsReader) record(at int) (biff, int, error) {
	if at+4 > len(in.stream) {
		return biff{}, 0, errOld
	}
	r := biff{kind: binary.LittleEndian.Uint16(in.stream[at:])}
	n := int(binary.LittleEndian.Uint16(in.stream[at+2:]))
	if at += 4; at+n > len(in.stream) {
		return biff{}, 0, errOld
	}
	r.data = in.stream[at : at+n]
	at += n
	pieces := [][]byte{r.data} // joined once: a record may go on in any number of others
	for size := n; at+4 <= len(in.stream) && r.kind != xlsContinue && binary.LittleEndian.Uint16(in.stream[at:]) == xlsContinue; {
		n := int(binary.LittleEndian.Uint16(in.stream[at+2:]))
		if at+4+n > len(in.stream) {
			return biff{}, 0, errOld
		}
		r.seams = append(r.seams, size)
		pieces = append(pieces, in.stream[at+4:at+4+n])
		at, size = at+4+n, size+n
	}
	if len(pieces) > 1 {
		r.data = slices.Concat(pieces...)
	}
	return r, at, nil
}

// u16 reads two bytes, 0 beyond the end: every record is checked where it matters.
func (r biff) u16(at int) uint16 {
	if at+2 > len(r.data) {
		return 0
	}
	return binary.LittleEndian.Uint16(r.data[at:])
}

// text reads a Unicode string ([MS-XLS] 2.5.293 to 2.5.296) whose length takes the given
// number of bytes. Characters may go on in a continuing record, which begins
// with a byte that says how wide they are there.
func (r biff) text(at, lengthBytes int) (string, int, error) {
	if at+lengthBytes+1 > len(r.data) {
		return "", 0, errOld
	}
	n := int(r.data[at])
	if lengthBytes == 2 {
		n = int(r.u16(at))
	}
	flags := r.data[at+lengthBytes]
	at += lengthBytes + 1
	after := 0
	if flags&8 != 0 {
		after += 4 * int(r.u16(at))
		at += 2
	}
	if flags&4 != 0 {
		if at+4 > len(r.data) {
			return "", 0, errOld
		}
		after += int(binary.LittleEndian.Uint32(r.data[at:]))
		at += 4
	}
	units, at, err := r.characters(at, n, flags&1 != 0)
	if err != nil {
		return "", 0, err
	}
	if at += after; at < 0 || at > len(r.data) {
		return "", 0, errOld
	}
	return units, at, nil
}

// characters reads n of them, wide ones of two bytes.
func (r biff) characters(at, n int, wide bool) (string, int, error) {
	units := make([]uint16, 0, min(n, len(r.data)))
	for range n {
		if _, seam := slices.BinarySearch(r.seams, at); seam && len(units) > 0 {
			if at >= len(r.data) {
				return "", 0, errOld
			}
			wide = r.data[at]&1 != 0
			at++
		}
		size := 1
		if wide {
			size = 2
		}
		if at+size > len(r.data) {
			return "", 0, errOld
		}
		if wide {
			units = append(units, r.u16(at))
		} else {
			units = append(units, uint16(r.data[at]))
		}
		at += size
	}
	return string(utf16.Decode(units)), at, nil
}

// rk unpacks a number kept in 30 bits ([MS-XLS] 2.5.217): bit 0 divides by 100,
// bit 1 marks a whole number.
func rk(n uint32) float64 {
	v := math.Float64frombits(uint64(n&^3) << 32)
	if n&2 != 0 {
		v = float64(int32(n) >> 2)
	}
	if n&1 != 0 {
		v /= 100
	}
	return v
}
