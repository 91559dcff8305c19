"""What a merge left between markers: read, told as music, decided place by place."""
