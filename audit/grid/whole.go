package grid

import (
	"shortfall/audit/results"
)

// AllTeethAndStyles reports the cells compared: a direction over all teeth and styles.
func AllTeethAndStyles(c *results.Cell) bool {
	b := c.By
	return b.Direction != 0 && b.Tooth == 0 && b.ToothClass == 0 && b.Arch == 0 && b.Style == 0 && b.Course != "" &&
		!c.Suppressed && c.Estimate.OK() && c.SE.OK() && c.SE > 0
}
