package fleet

import (
	"bytes"
	_ "embed"
	"fmt"
	"regexp"
	"strings"
	"text/template"

	"shortfall/ingest/store/postgres"
)

// Script is one that the operator runs.
type Script struct {
	Name string // of the file
	Text string
}

//go:embed shard.sql
var shardText string

//go:embed coordinator.sql
var coordinatorText string

var scripts = func() *template.Template {
	t := template.New("").Funcs(template.FuncMap{"list": list})
	template.Must(t.New("shard").Parse(shardText))
	template.Must(t.New("coordinator").Parse(coordinatorText))
	return t
}()

// schemaName is that of our tables, and no part of another name.
var schemaName = regexp.MustCompile(`\b` + postgres.UsualSchema + `\b`)

// list writes whole numbers between commas.
func list(numbers []int) string {
	return strings.Trim(strings.Join(strings.Fields(fmt.Sprint(numbers)), ", "), "[]")
}

// share is a server with its partitions.
type share struct {
	Server
	Partitions []int
}

// filling is what the scripts are filled with.
type filling struct {
	*Plan
	Shares  []share
	Share   share // of the script of one server
	Version int
	Records string // the schema of a single server
}

// Scripts writes what the operator runs: one script for each server, the coordinator's,
// then that of the roles. The plan must be one that Check accepts.
func Scripts(p *Plan) ([]Script, error) {
	if err := p.Check(); err != nil {
		return nil, err
	}
	f := filling{Plan: p, Version: postgres.SchemaVersion(), Records: postgres.Schema()}
	for i, s := range p.Servers {
		f.Shares = append(f.Shares, share{s, p.PartitionsOf(i)})
	}
	var out []Script
	add := func(file, name string) error {
		var b bytes.Buffer
		err := scripts.ExecuteTemplate(&b, name, f)
		out = append(out, Script{file, b.String()})
		return err
	}
	for _, f.Share = range f.Shares {
		if err := add("shard-"+f.Share.Name+".sql", "shard"); err != nil {
			return nil, err
		}
	}
	if err := add("coordinator.sql", "coordinator"); err != nil {
		return nil, err
	}
	return append(out, Script{"roles.sql", schemaName.ReplaceAllString(postgres.Roles, p.Schema)}), nil
}
