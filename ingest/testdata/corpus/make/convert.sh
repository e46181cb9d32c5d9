#!/bin/bash
# LibreOffice and Gnumeric turn make/src/*.xlsx into the formats their specs ask for
cd .
list() { python3 - "$1" <<'P'
import json,glob,sys
for f in sorted(glob.glob('./specs/*.json')):
    s=json.load(open(f))
    if s['prog']==sys.argv[1]:
        o=s['csv'] or {}
        print(s['file'].rsplit('.',1)[0], s['ext'], ord(o.get('sep',',')) if o else 0, {'cp1252':1,'utf-16':65535}.get(o.get('enc'),76), sep=' ')
P
}
P=./.lo
for ext in ods xls xlsx; do
  fs=$(list soffice | awk -v e=$ext '$2==e{print "src/"$1".xlsx"}'); [ -n "$fs" ] && nice soffice -env:UserInstallation=file://$P --headless --convert-to $ext --outdir .. $fs >/dev/null 2>&1
done
list soffice | awk '$2=="csv"||$2=="tsv"' | while read n e sep enc; do nice soffice -env:UserInstallation=file://$P --headless --convert-to "csv:Text - txt - csv (StarCalc):$sep,34,$enc,1,,0,false,true" --outdir .. src/$n.xlsx </dev/null >/dev/null 2>&1; done
list ssconvert | while read n e x; do
  t=; case $e in xls) t="-T Gnumeric_Excel:excel_biff8";; ods) t="-T Gnumeric_OpenCalc:odf";; xlsx) t="-T Gnumeric_Excel:xlsx";; esac
  ssconvert $t src/$n.xlsx ../$n.$e </dev/null >/dev/null 2>&1
done
