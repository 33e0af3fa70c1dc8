"""The edge: units, files, practice and tables of data; what is inside is SI."""
