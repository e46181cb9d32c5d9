package chart

import "math"

// Colour is an sRGB colour, 8 bits a channel.
type Colour struct{ R, G, B uint8 }

// The palette. The hues are those of Okabe & Ito, Color Universal Design (J*Fly
// 2008), which colour-blind readers can tell apart; greys are chosen to keep
// text at a contrast of at least 4.5:1 on white (WCAG 2.2, 1.4.3).
var (
	Ink        = Colour{0x1A, 0x1A, 0x1A} // text
	Muted      = Colour{0x55, 0x55, 0x55} // secondary text
	RuleGrey   = Colour{0xB4, 0xB4, 0xB4} // rules and axes
	PaleGrey   = Colour{0xDD, 0xDD, 0xDD} // gridlines
	GroundGrey = Colour{0xF1, 0xF1, 0xF1} // ground that parts one scale from another
	Paper      = Colour{0xFF, 0xFF, 0xFF}
	Blue       = Colour{0x00, 0x72, 0xB2}
	Vermilion  = Colour{0xD5, 0x5E, 0x00}
	Grey       = Colour{0x66, 0x66, 0x66}
	RustInk    = Colour{0xBF, 0x54, 0x00} // Vermilion for lettering: the hue itself has 3.9:1 on white
	PaleMark   = Colour{0x9A, 0x9A, 0x9A} // lines that are not the message
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

// On gives black or white, whichever reads better on a background; one of the
// two always has a contrast of at least 4.58:1, the square root of 21.
func On(background Colour) Colour {
	black := Colour{}
	if Contrast(Paper, background) > Contrast(black, background) {
		return Paper
	}
	return black
}
