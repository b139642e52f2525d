package setup
