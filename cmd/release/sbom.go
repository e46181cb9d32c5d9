package main

import (
	"debug/buildinfo"
	"encoding/json"
	"strings"
	"time"
)

// The bill of materials is CycloneDX 1.6 in JSON (ECMA-424,
// https://cyclonedx.org/docs/1.6/json/), of what the finished program says it is built
// from ("go version -m").
type (
	billOfMaterials struct {
		Format       string       `json:"bomFormat"`
		SpecVersion  string       `json:"specVersion"`
		Version      int          `json:"version"`
		Metadata     metadata     `json:"metadata"`
		Components   []component  `json:"components"`
		Dependencies []dependency `json:"dependencies"`
	}
	metadata struct {
		Timestamp string    `json:"timestamp"`
		Component component `json:"component"`
	}
	component struct {
		Type       string           `json:"type"`
		Ref        string           `json:"bom-ref"`
		Name       string           `json:"name"`
		Version    string           `json:"version"`
		Licences   []licensed       `json:"licenses"`
		PURL       string           `json:"purl,omitempty"`
		Properties []property       `json:"properties,omitempty"`
		External   []externalSource `json:"externalReferences,omitempty"`
	}
	licensed struct {
		Licence struct {
			ID string `json:"id"`
		} `json:"license"`
	}
	property struct {
		Name  string `json:"name"`
		Value string `json:"value"`
	}
	externalSource struct {
		Type string `json:"type"`
		URL  string `json:"url"`
	}
	dependency struct {
		Ref       string   `json:"ref"`
		DependsOn []string `json:"dependsOn"`
	}
)

// bill writes the bill of materials of a program.
func bill(b *build, info *buildinfo.BuildInfo, list []part) ([]byte, error) {
	own := component{Type: "application", Ref: "shortfall", Name: "shortfall", Version: b.version, Licences: licencesOf([]string{"MIT"})}
	for _, s := range info.Settings {
		own.Properties = append(own.Properties, property{"go:build:" + s.Key, s.Value})
	}
	out := billOfMaterials{
		Format: "CycloneDX", SpecVersion: "1.6", Version: 1,
		Metadata:     metadata{Timestamp: b.made.Format(time.RFC3339), Component: own},
		Dependencies: []dependency{{Ref: own.Ref}},
	}
	for _, p := range list {
		c := component{Type: "library", Name: p.path, Version: p.version, Licences: licencesOf(p.ids()), PURL: "pkg:golang/" + p.path + "@" + p.version}
		if p.sum != "" { // not a hash of one file, so no hash of CycloneDX (golang.org/x/mod/sumdb/dirhash)
			c.Properties = []property{{"go:sum", p.sum}}
			c.External = []externalSource{{"distribution", "https://proxy.golang.org/" + escapeUpper(p.path) + "/@v/" + escapeUpper(p.version) + ".zip"}}
		}
		c.Ref = c.PURL
		out.Components = append(out.Components, c)
		out.Dependencies[0].DependsOn = append(out.Dependencies[0].DependsOn, c.Ref)
	}
	text, err := json.MarshalIndent(out, "", "  ")
	return append(text, '\n'), err
}

func licencesOf(ids []string) (out []licensed) {
	for _, id := range ids {
		var l licensed
		l.Licence.ID = id
		out = append(out, l)
	}
	return out
}

// escapeUpper is the form of a path at a module proxy (go.dev/ref/mod#goproxy-protocol).
func escapeUpper(s string) string {
	var b strings.Builder
	for _, r := range s {
		if r >= 'A' && r <= 'Z' {
			b.WriteByte('!')
			r += 'a' - 'A'
		}
		b.WriteRune(r)
	}
	return b.String()
}
