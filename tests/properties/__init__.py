"""Properties that hold for every shop, tried on random shops with every feature."""
