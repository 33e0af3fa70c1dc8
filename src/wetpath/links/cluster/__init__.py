"""Work in parts on processes of this machine or on a Dask cluster, kept on disk until it is whole."""
