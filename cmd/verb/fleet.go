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
	"shortfall/ingest/store"
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
says at its head how it is run; upgrade writes those that bring an older fleet on. The records of a case lie on one server, found by a
hash of practice and pseudonym. More partitions than servers can be moved to servers
that join later. Backups are the operator's: of all servers, at one quiet moment.`,
		Example: `  shortfall fleet --server one=db1.example.org:5432/records --server two=db2.example.org:5432/records -o fleet
  shortfall fleet check --db postgres://db.example.org/records
  shortfall fleet upgrade --db postgres://db.example.org/records -o upgrade`,
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
	cmd.AddCommand(a.fleetCheckCommand(), a.fleetUpgradeCommand())
	return cmd
}

// partsAServer leaves room to move some to servers that join later.
const partsAServer = 4

var errNoFolder = exit.Usage("needs the name of a folder: -o FOLDER")

func (a *app) writeFleet(ctx context.Context, p *fleet.Plan, folder string, force bool) error {
	if folder == "" {
		return errNoFolder
	}
	if p.Partitions == 0 {
		p.Partitions = partsAServer * len(p.Servers)
	}
	scripts, err := fleet.Scripts(p)
	if err != nil {
		return exit.Usage("%w", err)
	}
	return a.writeScripts(ctx, scripts, folder, force)
}

// writeScripts writes all of them or none.
func (a *app) writeScripts(ctx context.Context, scripts []fleet.Script, folder string, force bool) error {
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

var errNoCoordinator = exit.Usage("needs the address of the coordinator: --db postgres://HOST/DATABASE")

func (a *app) fleetUpgradeCommand() *cobra.Command {
	var db, folder string
	var force bool
	cmd := &cobra.Command{
		Use:   "upgrade --db postgres://COORDINATOR/DATABASE -o FOLDER",
		Short: "Write the SQL that brings a fleet of an older schema to that of this program",
		Long: `upgrade asks the coordinator of a fleet what it and its servers have, and writes a
script for each server and one for the coordinator, which their operators run in this
order after a copy of all was made. It changes nothing itself. Until the last script is
run the older program works as before. Each script is done whole or not at all, and is
run again where it was interrupted; what is done already is left alone.`,
		Example: `  shortfall fleet upgrade --db postgres://db.example.org/records -o upgrade`,
		Args:    noArguments,
		RunE: func(cmd *cobra.Command, _ []string) error {
			switch {
			case !postgres.Is(db):
				return errNoCoordinator
			case folder == "":
				return errNoFolder
			}
			return a.upgradeFleet(cmd.Context(), db, folder, force)
		},
	}
	cmd.Flags().SortFlags = false
	cmd.Flags().StringVar(&db, "db", "", "address of the coordinator")
	cmd.Flags().StringVarP(&folder, "output", "o", "", "write the scripts to this `FOLDER`")
	cmd.Flags().BoolVar(&force, "force", false, "replace scripts that are there")
	return cmd
}

func (a *app) upgradeFleet(ctx context.Context, db, folder string, force bool) error {
	o, err := fleet.Upgrade(ctx, db)
	if err != nil {
		return err
	}
	if o.From > o.To {
		return &store.Error{
			Kind: store.Newer, Path: "the fleet", Message: fmt.Sprintf("the coordinator has schema %d and this program knows up to %d", o.From, o.To),
			Remedy: "Use the newest version of this program",
		}
	}
	if !a.quiet {
		fmt.Fprintf(a.out, "coordinator: schema %d, to be %d\n", o.From, o.To)
		for _, s := range o.Servers {
			is := fmt.Sprintf("schema %d", s.Version)
			if s.Version == 0 {
				is = "does not answer"
			}
			fmt.Fprintf(a.out, "server %s: %s\n", s.Name, is)
		}
	}
	if len(o.Scripts) == 0 {
		fmt.Fprintln(a.out, "there is nothing to bring on")
		return nil
	}
	return a.writeScripts(ctx, o.Scripts, folder, force)
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
				return errNoCoordinator
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
