package helps

import "os"

const name = "SHORTFALL_LONG"

var long = os.Getenv(name) != ""

func Often() int {
	if long {
		return 15
	}
	return 1
}

type Contract struct{}

func (Contract) Run()  { Often() }
func (Contract) Easy() {}

func Short() bool { return os.Getenv("SHORTFALL_LONG_AGO") != "" }
