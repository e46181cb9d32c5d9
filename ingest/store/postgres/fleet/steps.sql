{{range .}}
SELECT {{.Column}} < {{.To}} AS lacking FROM {{.Table}} \gset
\if :lacking
{{.Text}}
UPDATE {{.Table}} SET {{.Column}} = {{.To}};
\endif
{{end}}