"""What the foundry sends back about the cores as they were made and set, and the sand cores themselves."""
