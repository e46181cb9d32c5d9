#!/bin/bash
# builds the whole corpus
cd .
/usr/bin/python3 build.py || exit 1
rm -rf src; find .. -maxdepth 1 -type f ! -name README.md -delete
mv truth/*.json ..
nice /usr/bin/python3 write_openpyxl.py && nice /usr/bin/python3 write_xlsxwriter.py && nice /usr/bin/python3 write_csv.py && nice Rscript write_r.R && (cd node && nice node write_npm.js) && bash convert.sh
for f in specs/*.json; do n=$(sed 's/.*"file": "\([^"]*\)".*/\1/;s/^{//' $f | head -1); [ -f ../$n ] || echo MISSING $n; done
