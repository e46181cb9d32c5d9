package fleet

import (
	"context"
	"fmt"
	"regexp"
	"strings"

	"github.com/jackc/pgx/v5"

	"shortfall/ingest/store/postgres"
	"shortfall/ingest/store/sqlstore"
)

// step brings the schema of one server of a fleet a version on, where it is older: the
// column of the table says so.
type step struct {
	To            int
	Table, Column string
	Text          string
}

// steps are what the coordinator, and each server, needs for the changes of a single one.
func steps(changes []sqlstore.Change) (coordinator, shares []step, err error) {
	for i, c := range changes {
		to := postgres.FirstVersion + 1 + i
		ofCoordinator, ofShare, err := c.Coordinator, c.Share, error(nil)
		if ofCoordinator == "" && ofShare == "" {
			ofCoordinator, ofShare, err = spread(c.OfPostgres())
		}
		if err != nil {
			return nil, nil, err
		}
		coordinator = append(coordinator, step{to, "version", "number", ended(ofCoordinator)})
		shares = append(shares, step{to, "shard", "version", ended(ofShare)})
	}
	return coordinator, shares, nil
}

// ended is a text of statements of which the last ends too.
func ended(text string) string {
	if text = strings.TrimSpace(text); text == "" || strings.HasSuffix(text, ";") {
		return text
	}
	return text + ";"
}

var (
	ofRecords = regexp.MustCompile(`\b(cases|courses|movements|repeats)\b`)
	newColumn = regexp.MustCompile(`(?s)^\s*ALTER TABLE (cases|courses|movements|repeats) (ADD COLUMN [^;]+);?\s*$`)
)

// spread says a statement for a single server of the tables of a fleet: a new column of
// records is one of every partition, and anything else must concern the coordinator alone.
func spread(text string) (coordinator, share string, err error) {
	if !ofRecords.MatchString(text) {
		return text, "", nil
	}
	m := newColumn.FindStringSubmatch(text)
	if m == nil || strings.Contains(text, "$change$") {
		return "", "", fmt.Errorf("a change of the tables of records needs its own words for a fleet: %s", text)
	}
	var views strings.Builder
	if err := scripts.ExecuteTemplate(&views, "views", nil); err != nil {
		return "", "", err
	}
	return fmt.Sprintf("ALTER TABLE %s_kept %s;\n%s", m[1], m[2], views.String()),
		fmt.Sprintf(`DO $$ DECLARE p INTEGER; BEGIN
  FOREACH p IN ARRAY (SELECT partitions FROM shard) LOOP
    EXECUTE format('ALTER TABLE %%I ', '%s_' || p) || $change$%s$change$;
  END LOOP;
END $$;`, m[1], m[2]), nil
}

// Older is a fleet that is to be brought on.
type Older struct {
	From, To int
	// Servers has the schema of each, as the coordinator sees it; 0 where it does not answer.
	Servers []State
	// Scripts of the servers, then the coordinator's, in the order in which they are run;
	// roles.sql at last. None where all is new.
	Scripts []Script
}

// State of a server.
type State struct {
	Name    string
	Version int
}

// Upgrade writes what brings a fleet to the schema of this program, from whatever it has,
// and from whatever an interrupted upgrade has left. It changes nothing. The error is a
// *store.Error: the coordinator cannot be reached or is none.
func Upgrade(ctx context.Context, address string) (*Older, error) {
	c, schema, wrap, err := postgres.ConnectCoordinator(ctx, address)
	if err != nil {
		return nil, err
	}
	defer c.Close(ctx)
	k := &checking{ctx: ctx, c: c, schema: schema}
	o := &Older{To: postgres.SchemaVersion()}
	k.row("SELECT number FROM version", nil, &o.From)
	shards := k.shards()
	if k.err != nil {
		return nil, wrap(k.err)
	}
	f, err := fill(&Plan{Schema: schema})
	if err != nil {
		return nil, err
	}
	for i := range shards {
		s := &shards[i]
		f.Shares = append(f.Shares, share{Server: Server{Name: s.Name, Database: s.option("dbname")}})
		state := State{Name: s.Name}
		// One that does not answer is known by its 0: the scripts are the same.
		_ = c.QueryRow(ctx, "SELECT version FROM "+pgx.Identifier{schema + "_shards", "about_" + s.Name}.Sanitize()).Scan(&state.Version)
		o.Servers = append(o.Servers, state)
	}
	if o.From >= o.To {
		return o, ctx.Err()
	}
	o.Scripts, err = f.all("upgrade-", "upgrade-shard", "upgrade-coordinator")
	o.Scripts = append(o.Scripts, Script{"roles.sql", rolesOf(schema)})
	return o, err
}
