package store

import "maps"

// A practice corrects its workbook, or adds a quarter to it, and gives it
// again. The rows of the earlier version must then not count twice, and those
// it had to reject are answered or rejected anew. Whether a file is a later
// version is read off its records and not its name, which people change; a
// short file of corrections alone is none.

// Edition is what is known of one file, to tell which later one replaced it.
type Edition struct {
	ID      int64
	SHA256  string
	Reading string // how it was read: the hash of what was declared about it
	Name    string
	Size    int64
	Removed bool          // its import was undone
	Records int           // that it gave
	Again   map[int64]int // of these stood here already, by the file they came from
}

// LaterVersions maps a file to the file that is its later version: the first
// that gave more than half of its records again, counting those the file itself
// had taken over from its own earlier versions; or that is the same bytes read
// in another way. The editions are in the order of import.
func LaterVersions(editions []Edition) map[int64]int64 {
	later, _ := lineage(editions)
	return later
}

// lineage also gives, for each file, the earlier files whose place it took.
func lineage(editions []Edition) (map[int64]int64, map[int64]map[int64]bool) {
	later, parts := map[int64]int64{}, map[int64]map[int64]bool{}
	for i := range editions {
		e := &editions[i]
		parts[e.ID] = map[int64]bool{e.ID: true}
		if e.Removed {
			continue
		}
		for j := range editions[:i] {
			earlier := &editions[j]
			if later[earlier.ID] != 0 || earlier.Removed || !e.repeats(earlier, parts[earlier.ID]) {
				continue
			}
			later[earlier.ID] = e.ID
			maps.Copy(parts[e.ID], parts[earlier.ID])
		}
	}
	return later, parts
}

func (e *Edition) repeats(earlier *Edition, parts map[int64]bool) bool {
	if e.SHA256 == earlier.SHA256 {
		return true
	}
	n := 0
	for origin := range parts {
		n += e.Again[origin]
	}
	return 2*n > earlier.Records
}
