package job

import (
	"shortfall/audit/declare"
	"shortfall/audit/results"
)

// Declare takes a file of criteria into the settings of an audit; name is its base
// name, for messages.
func Declare(s *results.Settings, name string, data []byte) (err error) {
	if s.Questions.Criteria, err = declare.ParseCriteria(name, data); err != nil {
		return err
	}
	if q := s.Questions.Criteria.Primary; q != nil {
		s.Primary, s.PrimaryDeclared, s.PrimaryLooks = q.By(), q.Declared, q.Looks
	}
	return nil
}
