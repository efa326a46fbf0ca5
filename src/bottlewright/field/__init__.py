"""Where the rocket will come down: the site, the scatter of landings, the wind it can stand, what to do about it."""
