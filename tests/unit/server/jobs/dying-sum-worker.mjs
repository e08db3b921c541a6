import { receiveMessageOnPort, workerData } from 'node:worker_threads';

// A second thread that takes a chunk of the first sum and dies without a word, as one that the system ends.
const { port, rings } = workerData;
const [NEXT, HELPED] = [2, 6];
Atomics.wait(rings, 0, 0);
const { control } = receiveMessageOnPort(port).message;
Atomics.add(control, NEXT, 1);
Atomics.add(control, HELPED, 1);
process.exit(1);
