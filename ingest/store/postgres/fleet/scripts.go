package fleet

import (
	"bytes"
	"embed"
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

//go:embed *.sql
var texts embed.FS

// scripts are the files of SQL by name, without the ending.
var scripts = func() *template.Template {
	t := template.New("").Funcs(template.FuncMap{"list": list})
	for _, name := range []string{"shard", "coordinator", "views", "steps", "upgrade-shard", "upgrade-coordinator"} {
		text, err := texts.ReadFile(name + ".sql")
		if err != nil {
			panic(err)
		}
		template.Must(t.New(name).Parse(string(text)))
	}
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
	Shares           []share
	Share            share // of the script of one server
	First, Version   int
	Records          string // the first schema of a single server
	CoordinatorSteps []step // from there to Version
	ShareSteps       []step
}

func fill(p *Plan) (*filling, error) {
	f := &filling{Plan: p, First: postgres.FirstVersion, Version: postgres.SchemaVersion(), Records: postgres.FirstSchema()}
	var err error
	f.CoordinatorSteps, f.ShareSteps, err = steps(postgres.Changes())
	return f, err
}

// write makes a script.
func (f *filling) write(file, name string) (Script, error) {
	var b bytes.Buffer
	err := scripts.ExecuteTemplate(&b, name, f)
	return Script{file, b.String()}, err
}

// all makes the scripts of the servers by one template and that of the coordinator by another.
func (f *filling) all(before, shard, coordinator string) (out []Script, err error) {
	for _, f.Share = range f.Shares {
		s, err := f.write(before+f.Share.Name+".sql", shard)
		if err != nil {
			return nil, err
		}
		out = append(out, s)
	}
	s, err := f.write(coordinator+".sql", coordinator)
	return append(out, s), err
}

// Scripts writes what the operator runs: one script for each server, the coordinator's,
// then that of the roles. The plan must be one that Check accepts.
func Scripts(p *Plan) ([]Script, error) {
	if err := p.Check(); err != nil {
		return nil, err
	}
	f, err := fill(p)
	if err != nil {
		return nil, err
	}
	for i, s := range p.Servers {
		f.Shares = append(f.Shares, share{s, p.PartitionsOf(i)})
	}
	out, err := f.all("shard-", "shard", "coordinator")
	return append(out, Script{"roles.sql", rolesOf(p.Schema)}), err
}

func rolesOf(schema string) string { return schemaName.ReplaceAllString(postgres.Roles, schema) }
