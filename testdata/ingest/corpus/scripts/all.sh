#!/bin/sh
# Writes the whole corpus anew: sh all.sh. Needs LibreOffice with its Python
# bridge, Debian's python3 with openpyxl and pandas, and R with openxlsx.
set -e
cd "$(dirname "$0")"
rm -rf ../openpyxl ../libreoffice ../pandas ../r
for script in layouts cells together harder macros frames; do
    /usr/bin/python3 "$script.py"
done
LC_ALL=C.UTF-8 Rscript workbooks.R
