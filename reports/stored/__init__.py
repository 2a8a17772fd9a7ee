"""The files of a stored run: what goes into its folder, pages among them."""
