package declare

import (
	"fmt"

	"shortfall/audit/results"
	"shortfall/ingest/casebook"
)

// fitFile is the editable form of the table.
type fitFile struct {
	Version int       `toml:"version"`
	Source  string    `toml:"source"`
	Rules   []fitRule `toml:"rule"`
}

type fitRule struct {
	Axis        casebook.Axis        `toml:"axis"`
	Direction   casebook.Direction   `toml:"direction"`
	Orientation casebook.Orientation `toml:"orientation"`
}

// FitTableExample is a feature table to start from.
const FitTableExample = `# Orientation of the attachment's long edge that is square to the movement.
# A rule is for an axis, or for one direction ("extrusion"), which then goes
# before the rule of its axis. Movements without a rule are not judged.
version = 1
source = "common practice, no source"

[[rule]]
axis = "rotation"
orientation = "vertical"

[[rule]]
axis = "mesiodistal tip"
orientation = "vertical"

[[rule]]
axis = "vertical"
orientation = "horizontal"
`

// ParseFitTable reads a feature table; errors name file, line and remedy.
func ParseFitTable(name string, data []byte) (rules []results.FitRule, source string, err error) {
	var f fitFile
	if err := strictTOML(name, data, &f); err != nil {
		return nil, "", err
	}
	if f.Version != 1 {
		return nil, "", fmt.Errorf("%s: version %d: this program reads version = 1", name, f.Version)
	}
	if len(f.Rules) == 0 {
		return nil, "", fmt.Errorf("%s: no rule: add at least one [[rule]] with axis and orientation", name)
	}
	for _, r := range f.Rules {
		rules = append(rules, results.FitRule(r))
	}
	if err := results.CheckFitTable(rules); err != nil {
		return nil, "", fmt.Errorf("%s: %w", name, err)
	}
	if f.Source == "" {
		f.Source = "the practice's own table (" + name + ")"
	}
	return rules, f.Source, nil
}
