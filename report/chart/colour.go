package chart

import "math"

// Colour is an sRGB colour, 8 bits a channel.
type Colour struct{ R, G, B uint8 }

// The palette. The hues are those of Okabe & Ito, Color Universal Design (J*Fly
// 2008), which colour-blind readers can tell apart; greys are chosen to keep
// text at a contrast of at least 4.5:1 on white (WCAG 2.2, 1.4.3).
var (
	Ink       = Colour{0x1A, 0x1A, 0x1A} // text
	Muted     = Colour{0x55, 0x55, 0x55} // secondary text
	RuleGrey  = Colour{0xB4, 0xB4, 0xB4} // rules and axes
	PaleGrey  = Colour{0xDD, 0xDD, 0xDD} // gridlines
	Paper     = Colour{0xFF, 0xFF, 0xFF}
	Blue      = Colour{0x00, 0x72, 0xB2}
	Vermilion = Colour{0xD5, 0x5E, 0x00}
	Grey      = Colour{0x66, 0x66, 0x66}
	PaleMark  = Colour{0x9A, 0x9A, 0x9A} // marks below what the measurement can detect
)

// luminance is the relative luminance of WCAG 2.2 (sRGB, IEC 61966-2-1).
func (c Colour) luminance() float64 {
	lin := func(v uint8) float64 {
		x := float64(v) / 255
		if x <= 0.04045 {
			return x / 12.92
		}
		return math.Pow((x+0.055)/1.055, 2.4)
	}
	return 0.2126*lin(c.R) + 0.7152*lin(c.G) + 0.0722*lin(c.B)
}

// Contrast ratio of two colours, 1 to 21 (WCAG 2.2, 1.4.3).
func Contrast(a, b Colour) float64 {
	la, lb := a.luminance(), b.luminance()
	if la < lb {
		la, lb = lb, la
	}
	return (la + 0.05) / (lb + 0.05)
}

// scaleStops run one blue hue from light to dark; lightness falls all the way,
// so a grey print keeps the order.
var scaleStops = []Colour{
	{0xF3, 0xF7, 0xFB},
	{0xD3, 0xE3, 0xF1},
	{0xA5, 0xC8, 0xE3},
	{0x6A, 0xA5, 0xCF},
	{0x2F, 0x7A, 0xB2},
	{0x0B, 0x4A, 0x80},
}

// ScaleLow and ScaleHigh are the expressions at the ends of the colour scale;
// values beyond are drawn in the end colours with their number printed.
const (
	ScaleLow  = 0.0
	ScaleHigh = 1.0
)

// Scale gives the colour of an expression (1 = all that was planned).
func Scale(v float64) Colour {
	t := (v - ScaleLow) / (ScaleHigh - ScaleLow)
	t = math.Max(0, math.Min(1, t)) * float64(len(scaleStops)-1)
	i := min(int(t), len(scaleStops)-2)
	f := t - float64(i)
	mix := func(a, b uint8) uint8 { return uint8(math.Round(float64(a) + f*(float64(b)-float64(a)))) }
	a, b := scaleStops[i], scaleStops[i+1]
	return Colour{mix(a.R, b.R), mix(a.G, b.G), mix(a.B, b.B)}
}

// On gives black or white, whichever reads better on a background; one of the
// two always has a contrast of at least 4.58:1, the square root of 21.
func On(background Colour) Colour {
	black := Colour{}
	if Contrast(Paper, background) > Contrast(black, background) {
		return Paper
	}
	return black
}
