package verb

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"

	"github.com/spf13/cobra"

	"shortfall/cmd/exit"
	"shortfall/cmd/output"
	"shortfall/ingest/store/postgres"
	"shortfall/ingest/store/postgres/fleet"
)

func (a *app) fleetCommand() *cobra.Command {
	var servers []string
	var folder string
	var force bool
	p := fleet.Plan{}
	cmd := &cobra.Command{
		Use:   "fleet --server NAME=HOST:PORT/DATABASE... -o FOLDER",
		Short: "Write the SQL that spreads records over several PostgreSQL servers, and check it",
		Long: `fleet is for the operator of servers, where the records of a group of practices
outgrow one. It connects to nothing: it writes a script for each server, one for the
coordinator, by whose address ("--db postgres://...") records are then imported and
audited as with a single server, and one for the roles of readers and writers. Each
says at its head how it is run. The records of a case lie on one server, found by a
hash of practice and pseudonym. More partitions than servers can be moved to servers
that join later. Backups are the operator's: of all servers, at one quiet moment.`,
		Example: `  shortfall fleet --server one=db1.example.org:5432/records --server two=db2.example.org:5432/records -o fleet
  shortfall fleet check --db postgres://db.example.org/records`,
		Args: noArguments,
		RunE: func(cmd *cobra.Command, _ []string) error {
			for _, text := range servers {
				s, err := fleet.ParseServer(text)
				if err != nil {
					return exit.Usage("%w", err)
				}
				p.Servers = append(p.Servers, s)
			}
			return a.writeFleet(cmd.Context(), &p, folder, force)
		},
	}
	cmd.Flags().SortFlags = false
	cmd.Flags().StringArrayVar(&servers, "server", nil, "a server, `NAME=HOST:PORT/DATABASE`; once for each")
	cmd.Flags().IntVar(&p.Partitions, "partitions", 0, "how many parts the records have, 0 for four a server")
	cmd.Flags().StringVar(&p.RootCert, "root-cert", "", "`FILE` on the coordinator with the authority that signed the servers' certificates, where it is not in its usual place")
	cmd.Flags().StringVar(&p.Schema, "schema", postgres.UsualSchema, "schema that holds the tables; another one is named in the address by ?search_path=")
	cmd.Flags().StringVarP(&folder, "output", "o", "", "write the scripts to this `FOLDER`")
	cmd.Flags().BoolVar(&force, "force", false, "replace scripts that are there")
	cmd.AddCommand(a.fleetCheckCommand())
	return cmd
}

// partsAServer leaves room to move some to servers that join later.
const partsAServer = 4

func (a *app) writeFleet(ctx context.Context, p *fleet.Plan, folder string, force bool) error {
	if folder == "" {
		return exit.Usage("needs the name of a folder: -o FOLDER")
	}
	if p.Partitions == 0 {
		p.Partitions = partsAServer * len(p.Servers)
	}
	scripts, err := fleet.Scripts(p)
	if err != nil {
		return exit.Usage("%w", err)
	}
	var files []output.File
	var written []string
	for _, s := range scripts {
		path := filepath.Join(folder, s.Name)
		files, written = append(files, output.File{Flag: "-o", Path: path, Ends: []string{".sql"}}), append(written, path)
	}
	if err := os.MkdirAll(folder, 0o700); err != nil && !errors.Is(err, fs.ErrExist) {
		return output.Unwritable(folder, err)
	}
	if err := output.Check(files, nil, force); err != nil {
		return err
	}
	var set output.Set
	defer set.Drop()
	for i, s := range scripts {
		if err := set.Write(written[i], text(s.Text)); err != nil {
			return err
		}
	}
	if err := set.Place(ctx, a.Ending); err != nil {
		return err
	}
	a.printWritten(written)
	return nil
}

func (a *app) fleetCheckCommand() *cobra.Command {
	var db string
	cmd := &cobra.Command{
		Use:   "check --db postgres://COORDINATOR/DATABASE",
		Short: "Look a fleet over: versions, partitions, encryption, roles, and whether servers make the sums",
		Long: `check connects to the coordinator of a fleet and, through it, asks every server about
itself: whether it answers and is the one that was meant, its version, whether the
connection is encrypted and its certificate checked, and whether it holds the
partitions that it should, with the same columns and rules. It looks whether roles
can get past the practices they belong to, and whether the servers make the sums
of their cases. It changes nothing.`,
		Example: `  shortfall fleet check --db postgres://db.example.org/records`,
		Args:    noArguments,
		RunE: func(cmd *cobra.Command, _ []string) error {
			if !postgres.Is(db) {
				return exit.Usage("needs the address of the coordinator: --db postgres://HOST/DATABASE")
			}
			return a.checkFleet(cmd.Context(), db)
		},
	}
	cmd.Flags().StringVar(&db, "db", "", "address of the coordinator")
	return cmd
}

func (a *app) checkFleet(ctx context.Context, db string) error {
	findings, err := fleet.Check(ctx, db)
	if err != nil {
		return err
	}
	wrong := 0
	for _, f := range findings {
		switch {
		case f.Wrong == "":
			if !a.quiet {
				fmt.Fprintf(a.out, "right: %s\n", f.What)
			}
			continue
		case f.Advice:
			fmt.Fprintf(a.out, "to know: %s: %s. %s\n", f.What, f.Wrong, f.Remedy)
			continue
		}
		wrong++
		fmt.Fprintf(a.out, "wrong: %s: %s. %s\n", f.What, f.Wrong, f.Remedy)
	}
	if wrong > 0 {
		fmt.Fprintf(a.summary, "%s wrong\n", plural(wrong, "thing"))
		return exit.Reported(exit.CodeDatabase)
	}
	return nil
}
