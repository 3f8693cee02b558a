package all
