/** Retained: `online` while the service is there, else `offline` (its last will). */
export const SERVICE_TOPIC = 'quietkeg/service';
