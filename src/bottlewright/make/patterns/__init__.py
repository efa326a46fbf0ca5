"""Flat parts at true size: what each looks like, how parts lie on sheets, and how sheets and parts are written."""
